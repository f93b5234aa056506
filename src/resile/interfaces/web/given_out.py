"""Lists and pictures of pages, given out as files."""

from __future__ import annotations

from collections.abc import Sequence

from starlette.responses import Response

from resile.interfaces.web.visit import Visit, saved_file
from resile.records.archive_answers import AnswerTable
from resile.workflows.laboratory.control.exports import TABLE_FORMS, table_file
from resile.workflows.laboratory.control.pictures import PICTURE_FORMS, ChartPicture, picture_file


def given_table(visit: Visit, table: AnswerTable, name: str) -> Response:
    """Give a list in the form that the address ends in."""
    form = visit.path("form")
    content = table_file(table, form, date=visit.at[:10])
    return saved_file(content, f"{name}.{form}", TABLE_FORMS[form])


def given_picture(visit: Visit, pictures: Sequence[ChartPicture], picture: str, name: str) -> Response:
    """Give a picture in the form that the address ends in."""
    form = visit.path("form")
    content = picture_file(pictures, picture, form)
    return saved_file(content, f"{name}.{form}", PICTURE_FORMS[form])
