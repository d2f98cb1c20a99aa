"""`arsis desk`: what it takes and what it says."""

from __future__ import annotations

from pathlib import Path

import click


@click.command(
    short_help="The page for seeing, deciding and hearing, in a browser.",
    epilog="\b\nExample: arsis desk tide-tables",
)
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--port", type=click.IntRange(1024, 65535), help="The port; a free one when not given.")
@click.option("--no-browser", is_flag=True, help="Only say the address.")
def desk(folder: Path, port: int | None, no_browser: bool) -> None:
    """Serve the desk of a release FOLDER to the browser of this machine, until Ctrl-C.

    The address holds a token that is made anew each time; whoever has it can use the desk. It plays sound:
    start with your monitors low.
    """
    from arsis.desk.serve import serve

    serve(folder, port, not no_browser, lambda address: click.echo(f"the desk: {address}"))
