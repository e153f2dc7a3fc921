"""A trained reader becomes what ships: python models/training/export.py TRAINED.pt BASE_FOLDER models/reader

Writes reader.onnx (8-bit weights), links.npz (the biases of the links) and tokenizer.json into the folder.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import numpy as np
import onnx
import torch
from net import Reader
from onnx import helper, numpy_helper
from transformers import AutoConfig, AutoModel

LINK_PARTS = ("far", "rank", "far_deep", "rank_deep", "weigh", "bias")


def smaller(model: onnx.ModelProto) -> onnx.ModelProto:
    """Each large matrix stored in 8 bits with a scale for each column or row; computed in 32 bits.

    8-bit arithmetic (dynamic quantisation) was tried and cost 5 to 8 points of decisions F1.
    """
    graph = model.graph
    gathered = {node.input[0] for node in graph.node if node.op_type == "Gather"}
    for weight in list(graph.initializer):
        matrix = numpy_helper.to_array(weight)
        if matrix.ndim != 2 or matrix.dtype != np.float32 or matrix.size < 100_000:
            continue
        axis = 0 if weight.name in gathered else 1
        scale = (np.abs(matrix).max(axis=1 - axis) / 127 + 1e-12).astype(np.float32)
        small = np.round(matrix / np.expand_dims(scale, 1 - axis)).astype(np.int8)
        name = weight.name
        graph.initializer.remove(weight)
        graph.initializer.extend([
            numpy_helper.from_array(small, name + ".small"), numpy_helper.from_array(scale, name + ".scale"),
            numpy_helper.from_array(np.zeros(len(scale), np.int8), name + ".zero"),
        ])  # fmt: skip
        node = helper.make_node(
            "DequantizeLinear", [name + ".small", name + ".scale", name + ".zero"], [name], axis=axis
        )
        graph.node.insert(0, node)
    return model


def main() -> None:
    trained, base, out = (Path(a) for a in sys.argv[1:4])
    encoder = AutoModel.from_config(
        AutoConfig.from_pretrained(base), add_pooling_layer=False, attn_implementation="eager"
    )
    model = Reader(encoder)
    state = {k: v.float() for k, v in torch.load(trained).items()}
    missing = model.load_state_dict(state, strict=False)
    assert not missing.unexpected_keys, missing
    assert all("position_ids" in k for k in missing.missing_keys), missing
    model.eval()
    out.mkdir(parents=True, exist_ok=True)
    pieces = torch.randint(5, 3000, (2, 50))
    first = torch.stack([torch.randint(0, 2, (40,)), torch.randint(0, 50, (40,))], dim=1)
    axes = {
        "pieces": {0: "windows", 1: "pieces"},
        "mask": {0: "windows", 1: "pieces"},
        "first": {0: "words"},
        "tags": {0: "words"},
        "tail": {0: "words"},
        "head": {0: "words"},
    }
    with tempfile.TemporaryDirectory() as folder:
        whole = Path(folder) / "whole.onnx"
        torch.onnx.export(
            model, (pieces, torch.ones_like(pieces), first), whole,
            input_names=["pieces", "mask", "first"], output_names=["tags", "tail", "head"], dynamic_axes=axes,
            opset_version=17, dynamo=False,
        )  # fmt: skip
        onnx.save(smaller(onnx.load(whole)), out / "reader.onnx")
    np.savez(out / "links.npz", **{k: state[k].numpy().astype(np.float32) for k in LINK_PARTS})
    (out / "tokenizer.json").write_bytes((base / "tokenizer.json").read_bytes())
    print(f"{(out / 'reader.onnx').stat().st_size / 1e6:.0f} MB")


if __name__ == "__main__":
    main()
