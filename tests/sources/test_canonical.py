"""The bytes that are hashed and the hash, against the published standards and their test vectors."""

import hashlib
import json

import pytest
import rfc8785

from notepipe.chain import FIRST, hash_of

# RFC 8785 (JSON Canonicalization Scheme), section 3.2.2 sample input and section 3.2.3 result, as reproduced
# by the open implementations gowebpki/jcs and tomcase/json-canonicalization.
SAMPLE = (
    r'{"numbers":[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001],'
    r'"string":"\u20ac$\u000F\u000aA' + "'" + r'\u0042\u0022\u005c\\\"\/","literals":[null,true,false]}'
)
CANONICAL = (
    r'{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
    r'"string":"€$\u000f\nA' + "'" + r'B\"\\\\\"/"}'
)


def test_rfc_8785_s_sample_comes_out_as_printed_there() -> None:
    made = rfc8785.dumps(json.loads(SAMPLE))
    assert made == CANONICAL.encode("utf-8")
    assert len(made) == 118
    # SHA-256 of those bytes, computed with coreutils' sha256sum.
    assert (
        hashlib.sha256(made).hexdigest() == "2d5e01a318d0f0879ab568c4be289c8b1f64ef8921a53c6277d5e069978baacb"
    )


def test_a_small_object_comes_out_as_in_the_open_implementations() -> None:
    made = rfc8785.dumps({"b": 2, "a": [True, None, "x"]})
    assert made == b'{"a":[true,null,"x"],"b":2}'
    assert (
        hashlib.sha256(made).hexdigest() == "ab9b02db7ec2d94733f11a399281a3d28694f36b21ca88311ec4fe27679cefd5"
    )


# RFC 8785 section 3.2.2.3: numbers as ECMAScript (ECMA-262, Number::toString) prints them. The expected texts
# were printed by Node.js; Python's own json prints every one of the first six otherwise.
NUMBERS = [
    (1.0, "1"),
    (1e16, "10000000000000000"),
    (1e20, "100000000000000000000"),
    (1e-5, "0.00001"),
    (1e-6, "0.000001"),
    (-0.0, "0"),
    (15.875, "15.875"),
    (23.8125, "23.8125"),
    (1e21, "1e+21"),
    (1e-7, "1e-7"),
    (5e-324, "5e-324"),
    (1.7976931348623157e308, "1.7976931348623157e+308"),
]


@pytest.mark.parametrize(("number", "text"), NUMBERS)
def test_numbers_are_printed_as_ecmascript_prints_them(number: float, text: str) -> None:
    assert rfc8785.dumps(number) == text.encode("ascii")


def test_names_are_sorted_by_their_utf_16_units() -> None:
    # RFC 8785 section 3.2.3: this very set of names; by code point the last two would change places.
    names = ["\u20ac", "\r", "\ufb33", "1", "\U0001f600", "\u0080", "\u00f6"]
    made = json.loads(
        rfc8785.dumps(dict.fromkeys(names, 0)), object_pairs_hook=lambda pairs: [k for k, _ in pairs]
    )
    assert made == ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33"]
    assert made != sorted(names)


def test_numbers_beyond_the_exact_integers_of_i_json_are_refused() -> None:
    # RFC 8785 section 3.2.2.3 after RFC 7493 (I-JSON) section 2.2.
    rfc8785.dumps(2**53 - 1)
    for number in (2**53, float("nan"), float("inf")):
        with pytest.raises(rfc8785.CanonicalizationError):
            rfc8785.dumps(number)


def test_the_hash_is_sha_256() -> None:
    # FIPS 180-4; the example message "abc" and the empty message of NIST's example values.
    digests = {
        b"abc": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
        b"": "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    }
    for message, digest in digests.items():
        assert hashlib.sha256(message).hexdigest() == digest


def test_an_entry_s_hash_is_the_sha_256_of_its_rfc_8785_bytes() -> None:
    """Written out here by hand, so that nothing of ours decides what is hashed."""
    columns = {"job": "é", "number": 1, "at": "2026-11-25T10:00:00+00:00", "who": "Ada", "before": FIRST}
    by_hand = (
        '{"at":"2026-11-25T10:00:00+00:00","before":"' + "0" * 64 + '","body":{"kind":"x","mm":1},'
        '"job":"é","number":1,"who":"Ada"}'
    )
    assert hash_of(columns, {"mm": 1.0, "kind": "x"}) == hashlib.sha256(by_hand.encode("utf-8")).hexdigest()
