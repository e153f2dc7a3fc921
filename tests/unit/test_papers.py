"""A shop's own templates: laid over ours by name, every slip in one named by file, line and right word."""

import pytest

from notepipe.errors import BadTemplate, NotReviewed
from notepipe.papers import Letter, left_out, update
from notepipe.papers.templates import program_templates


@pytest.fixture
def own(tmp_path, letter):
    """Write the shop's own update template; gives the letter that uses it."""

    def write(text: str | bytes) -> Letter:
        path = tmp_path / "update.txt.j2"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return letter.model_copy(update={"templates": tmp_path})

    return write


def broken(registered, letter: Letter) -> str:
    with pytest.raises(BadTemplate) as found:
        update(registered(), letter)
    return str(found.value)


def test_a_shop_s_template_is_used_instead_of_ours(registered, own):
    assert update(registered(), own("Dear {{ client }}\n")) == "Dear Fennimore Museum of Transport\n"


def test_a_shop_s_template_may_change_one_block_of_ours(registered, own):
    text = '{% extends "program/update.txt.j2" %}{% block foot %}\nYours, {{ shop }}\n{% endblock %}'
    written = update(registered(), own(text))
    assert "To Fennimore Museum of Transport" in written
    assert written.endswith("\nYours, Larkhill Tramway Workshop\n")
    assert "With kind regards" not in written


def test_a_folder_without_templates_changes_nothing(registered, letter, tmp_path):
    empty = letter.model_copy(update={"templates": tmp_path / "none"})
    assert update(registered(), empty) == update(registered(), letter)


@pytest.mark.parametrize(
    ("template", "line", "what", "do"),
    [
        ("{{ shop }}\n{{ clint }}\n", 2, "nothing here is named 'clint'", "Did you mean 'client'?"),
        ("{% for s in questions %}{{ s.txt }}{% endfor %}{{ hash.foo }}", 1, "'foo'", "Known:"),
        ("\n\n{{ shop | wraped }}", 3, "no filter 'wraped'", "Did you mean 'wrapped'?"),
        ("{% if shop %}\n{{ shop }}\n", 2, "Unexpected end of template", "Mend that line"),
        ("{{ shop }\n", 1, "unexpected '}'", "Mend that line"),
        ("{{ shop }}\n{{ shop + 1 }}", 2, "can only concatenate", "Mend that line"),
        ("{{ shop }}\n{{ ().__class__.__base__ }}", 2, "access to attribute '__class__'", "Mend that line"),
        ('\n{% include "heda.txt.j2" %}', 2, "no template 'heda.txt.j2'", "Did you mean '"),
    ],
)
def test_a_slip_is_named_with_its_line(registered, own, template, line, what, do):
    told = broken(registered, own(template))
    assert f"update.txt.j2:{line}: " in told
    assert what in told
    assert do in told.split("\n")[1]


def test_a_field_of_a_record_that_is_not_there_is_named_too(registered, own):
    from notepipe.draft import Part

    letter = own("{% for s in sections %}\n{{ s.titel }}\n{% endfor %}")
    with pytest.raises(BadTemplate) as found:
        update(registered(Part(name="gong")), letter)
    assert "update.txt.j2:2: nothing here is named 'titel'\nDid you mean 'title'?" in str(found.value)


def test_a_template_in_another_encoding_is_said_to_be(registered, own):
    assert "not UTF-8 text" in broken(registered, own("Grüße".encode("latin-1")))


def test_a_bug_of_ours_is_no_slip_of_the_template(registered, own, monkeypatch):
    def fails(*_: object) -> str:
        raise TypeError("a bug")

    monkeypatch.setattr("notepipe.papers.templates.wrapped", fails)
    with pytest.raises(TypeError, match="a bug"):
        update(registered(), own("{{ shop | wrapped }}"))


def test_our_own_templates_are_there():
    assert {path.name for path in program_templates().iterdir()} >= {"update.txt.j2", "parts_list.txt.j2"}


def test_once_installed_the_templates_inside_the_package_are_used(monkeypatch, tmp_path):
    monkeypatch.setattr("notepipe.__file__", str(tmp_path / "notepipe" / "__init__.py"))
    assert program_templates() == tmp_path / "templates"
    (tmp_path / "notepipe" / "templates").mkdir(parents=True)
    assert program_templates() == tmp_path / "notepipe" / "templates"


def test_one_record_that_waits_is_told_in_the_singular(registered, letter):
    with pytest.raises(NotReviewed, match=r"walk.m4a: 1 of 1 part is not reviewed"):
        left_out(registered(waiting=1), letter)


def test_questions_and_other_notes_that_wait_are_told_as_well(registered, letter):
    from notepipe.draft import Question

    asked = (Question(to="client", about="lamp", text="Which?", quote="which"),)
    register = registered(questions=asked, waiting=3)
    note = register.notes[0].model_copy(update={"reviewed": frozenset()})
    twice = register.model_copy(update={"notes": (note, note)})
    with pytest.raises(NotReviewed) as stopped:
        left_out(twice, letter)
    assert stopped.value.what == "3 of 3 parts and 1 of 1 question are not reviewed, nor all of 1 more note"
    assert left_out(twice, letter.model_copy(update={"leave_out": True})) == 8
