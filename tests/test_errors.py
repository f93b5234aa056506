"""Every refusal has an exit code and a status, and keeps its meaning between processes."""

import pickle

import pytest

from resile import errors
from resile.errors import ANSWERS, AmbiguousFileError, ResileError, answer_for


def subclasses(of: type) -> set[type]:
    return {of} | {deeper for direct in of.__subclasses__() for deeper in subclasses(direct)}


def test_every_class_of_error_has_an_answer_of_its_own() -> None:
    assert subclasses(ResileError) == set(ANSWERS)


def test_the_tree_in_the_docstring_names_every_class() -> None:
    for kind in ANSWERS:
        assert kind.__name__ in (errors.__doc__ or "")


@pytest.mark.parametrize("kind", sorted(ANSWERS, key=lambda k: k.__name__), ids=lambda k: k.__name__)
def test_an_error_survives_the_way_from_one_process_to_another(kind: type[ResileError]) -> None:
    error = kind("why?", option="--x") if kind is AmbiguousFileError else kind("why?")
    back = pickle.loads(pickle.dumps(error))
    assert (type(back), str(back)) == (kind, "why?")
    assert answer_for(back).exit_code in {2, 3, 70}
    if isinstance(back, AmbiguousFileError):
        assert back.option == "--x"
