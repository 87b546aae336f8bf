"""Each key of a file has a shape and a record; what the two call the same goes over by itself."""

from __future__ import annotations

import inspect
from dataclasses import fields

import pytest

from safety import model
from safety.files import left_out, reading_job, reading_shop, shape_people, shape_stock, shapes
from safety.files.building import made
from safety.files.shape_kinds import Table

#: Table -> the record it becomes.
RECORDS = {
    shapes.ShopTable: model.Shop,
    shapes.PlaceTable: model.Place,
    shape_stock.GloveTable: model.Glove,
    shape_stock.BreakthroughTable: model.Breakthrough,
    shape_stock.RespiratorTable: model.Respirator,
    shape_stock.EyewearTable: model.Eyewear,
    shape_stock.ContainerTable: model.Container,
    shape_people.AnswerTable: model.Answer,
    shape_people.PermitTable: model.Permit,
    shape_people.PersonTable: model.Person,
    shape_people.PhoneTable: model.Phone,
    shapes.ProductTable: model.Product,
    shapes.ApplicationTable: model.Application,
    shapes.JobTable: model.Job,
    shapes.StepTable: model.Step,
    shapes.UseTable: model.Use,
    shapes.LeftoverTable: model.Leftover,
    shapes.MeasurementTable: model.Measurement,
}


#: Keys by which another one of the table is checked, and which do nothing else.
HELD_AGAINST_OTHERS = {"can_depth"}


@pytest.mark.parametrize("table", RECORDS, ids=lambda table: table.__name__)
def test_no_key_is_read_and_dropped(table: type[Table]) -> None:
    """A key of a file that reaches no record would change nothing, and nobody would be told."""
    own = {one.name for one in fields(RECORDS[table])}
    sources = "".join(map(inspect.getsource, (reading_job, reading_shop, left_out)))
    for key in table.model_fields.keys() - HELD_AGAINST_OTHERS:
        line = f"{key}: ... to {RECORDS[table].__name__} in safety/model, or use table.{key} where it is built"
        assert key in own or f".{key}" in sources, f"write {line}"


def test_a_record_holds_nothing_that_can_be_changed() -> None:
    table = shape_stock.ContainerTable.model_validate(
        {"id": "rags-1", "stream": "wet rags", "size": "20 L", "kind": "satellite", "accepts": ["wet-cloths"]}
    )
    found = made(model.Container, table, stream="wet cloths")
    assert found == model.Container("rags-1", "wet cloths", 0.02, "satellite", None, ("wet-cloths",), None, "", "")
