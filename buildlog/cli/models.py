"""``buildlog models``: which speech and language models there are, whether they are whole, and getting them."""

from __future__ import annotations

import json

import click

from buildlog.errors import MissingModel, NotFound, one_line


@click.group()
def command() -> None:
    """List, check and fetch the speech and language models."""


@command.command("list")
@click.option("--json", "as_json", is_flag=True, help="Print as JSON.")
def list_models(as_json: bool) -> None:
    """List the models known, where each was found, its size and licence."""
    from buildlog import weights

    rows = [
        {
            "name": e.name,
            "kind": e.kind,
            "state": weights.state(e),
            "bytes": e.size,
            "licence": e.licence,
            "summary": e.summary,
            "origin": e.origin,
        }
        for e in weights.manifest().values()
    ]
    if as_json:
        click.echo(json.dumps(rows, indent=2))
        return
    for row in rows:
        size = f"{int(str(row['bytes'])) / 1e6:.0f} MB"
        click.echo(f"{row['name']:<10} {row['state']:<22} {size:>7}  {row['licence']:<11} {row['summary']}")
    larger = [n for n in weights.speech_names() if n not in weights.manifest()]
    click.echo(f"By name, downloaded when fetched: {', '.join(larger)}", err=True)


@command.command("check")
@click.argument("names", nargs=-1)
def check_models(names: tuple[str, ...]) -> None:
    """Compare the models here with their published hashes; without NAMES, all of the manifest."""
    from buildlog import weights

    known = weights.manifest()
    wrong: list[str] = []
    for name in names or known:
        if name not in known:
            raise NotFound(
                f"no model is called “{one_line(name, 60)}” in the manifest; `buildlog models list` shows them"
            )
        state = weights.state(known[name])
        click.echo(f"{name:<10} {state}")
        if state in ("missing", "damaged"):
            wrong.append(name)
    if wrong:
        raise MissingModel(
            f"not usable: {', '.join(wrong)}; run " + " and ".join(f"`buildlog models fetch {n}`" for n in wrong)
        )


@command.command("fetch")
@click.argument("name")
def fetch_model(name: str) -> None:
    """Get the speech model NAME onto this machine (base, tiny.en, or a larger one by name)."""
    from buildlog import weights

    click.echo(f"fetching {one_line(name, 60)} …", err=True)
    found = weights.fetch(name)
    click.echo(f"{found.name} {found.source} {one_line(found.folder)}")
