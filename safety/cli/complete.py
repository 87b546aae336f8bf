"""What a shell may complete: names from the files of a shop. Whatever goes wrong, nothing is offered."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from click.shell_completion import CompletionItem

if TYPE_CHECKING:
    from safety.files.shop_files import Kind, ShopFiles

Complete = Callable[[click.Context, click.Parameter, str], list[CompletionItem]]
Names = Callable[[click.Context], Iterable[str]]


def _offered(names: Names) -> Complete:
    """Offer those names that begin with what is typed."""

    @wraps(names)
    def complete(ctx: click.Context, parameter: click.Parameter, incomplete: str) -> list[CompletionItem]:
        try:
            known = sorted({name for name in names(ctx) if name.startswith(incomplete)})
        except Exception:  # a shell that completes must never print a mistake between two keys
            return []
        return [CompletionItem(name) for name in known]

    return complete


def _files(ctx: click.Context) -> ShopFiles:
    from safety.files.shop_files import ShopFiles

    return ShopFiles.of(ctx.params.get("folder") or Path())


def _ids(ctx: click.Context, kind: Kind) -> Iterator[str]:
    """The ids that files of a shop give themselves; the file's name where one cannot be read."""
    return (own or path.stem for path, own in _files(ctx).ids(kind))


@_offered
def _jobs(ctx: click.Context) -> Iterator[str]:
    given = ctx.params.get("jobs") or ()
    return (name for name in _ids(ctx, "job") if name not in given)


def jobs(ctx: click.Context, parameter: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """Ids of jobs, then whatever file the shell finds."""
    return _jobs(ctx, parameter, incomplete) or [CompletionItem(incomplete, type="file")]


#: What ``hazstep new`` asks questions for; another word is the folder of a new shop.
ASKED_FOR = ("product", "job", "place", "stock")


def new(ctx: click.Context, parameter: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """What questions are asked for, then whatever folder the shell finds."""
    known = [CompletionItem(word) for word in ASKED_FOR if word.startswith(incomplete)]
    return known or [CompletionItem(incomplete, type="dir")]


@_offered
def products(ctx: click.Context) -> Iterator[str]:
    return _ids(ctx, "product")


@_offered
def containers(ctx: click.Context) -> Iterator[str]:
    from safety.files.toml import open_document, tables

    document = open_document(_files(ctx).file)
    return (str(table["id"]) for _, table in tables(document.data, "container") if "id" in table)


@_offered
def lots(ctx: click.Context) -> list[str]:
    """Lots of the product that is named, else of all."""
    from safety.ledger.recorded import recorded

    product = ctx.params.get("product")
    with recorded(_files(ctx).shop) as ledger:
        return (
            [lot.lot for lot in ledger.lots() if lot.open and lot.lot and product in (None, lot.product)]
            if ledger
            else []
        )


@_offered
def formulas(ctx: click.Context) -> Iterable[str]:
    from safety.formulas import catalogue

    return catalogue()


@_offered
def inputs(ctx: click.Context) -> Iterator[str]:
    """The inputs of the formula that is named, without those that are given."""
    from safety.formulas import catalogue

    given = {text.partition("=")[0] for text in ctx.params.get("inputs") or ()}
    return (f"{name}=" for name, _ in catalogue()[str(ctx.params["name"])].inputs if name not in given)


#: What a field of a record is completed with.
FIELDS: dict[str, Any] = {"product": products, "container": containers, "lot": lots, "job": jobs}
