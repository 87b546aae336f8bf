"""What a square metre really took: the weighed uses of each product and step, added up and ranked by the database."""

from __future__ import annotations

from sqlalchemy import ColumnElement, Connection, func, or_, select

from safety.ledger.amounts import kilograms
from safety.ledger.read import readable
from safety.ledger.tables import WEIGHED, entry, standing
from safety.model import WeighedRate


@readable()
def weighed(connection: Connection, *where: ColumnElement[bool], until: str = "") -> tuple[WeighedRate, ...]:
    """Return median, least and most of the jobs, by product and step. ``until`` as in ``entries_where``."""
    c = entry.c
    of_job = (
        select(c.product, c.step, (func.sum(c.mass_ug) / func.sum(c.area)).label("rate"))
        .where(WEIGHED, c.mass_ug.is_not(None), *where)
        .where(*standing(until))
        .group_by(c.product, c.step, c.job, c.day)
        .subquery()
    ).c
    same = (of_job.product, of_job.step)
    ranked = (
        select(
            *same,
            of_job.rate,
            func.row_number().over(partition_by=same, order_by=of_job.rate).label("place"),
            func.count().over(partition_by=same).label("jobs"),
            func.min(of_job.rate).over(partition_by=same).label("least"),
            func.max(of_job.rate).over(partition_by=same).label("most"),
        ).subquery()
    ).c
    # the one in the middle, or the two beside it
    middle = or_(
        2 * ranked.place == ranked.jobs, 2 * ranked.place == ranked.jobs + 1, 2 * ranked.place == ranked.jobs + 2
    )
    rows = connection.execute(
        select(
            ranked.product,
            ranked.step,
            func.max(ranked.jobs).label("jobs"),
            func.avg(ranked.rate).label("median"),
            func.min(ranked.least).label("least"),
            func.max(ranked.most).label("most"),
        )
        .where(middle)
        .group_by(ranked.product, ranked.step)
        .order_by(ranked.product, ranked.step)
    )
    return tuple(
        WeighedRate(row.product, row.step, row.jobs, *map(kilograms, (row.median, row.least, row.most))) for row in rows
    )
