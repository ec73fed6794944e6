"""The commands about the site: make it, serve it."""

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

site_app = typer.Typer(
    help="The lessons in a browser, with nothing to install.", no_args_is_help=True
)
console = Console(highlight=False)


def _say(words):
    console.print(words, markup=False, soft_wrap=True)


@site_app.command("build")
def build_site(
    folder: Annotated[
        Path, typer.Argument(help="Folder to make; an older site there is replaced.")
    ],
    department: Annotated[
        Path | None,
        typer.Option(
            "--department", help="Department's data (else AERIALSTREAM_DEPARTMENT, else demo)."
        ),
    ] = None,
    parts: Annotated[
        Path | None,
        typer.Option(help="Folder with the fetched files, for a machine without internet."),
    ] = None,
    work: Annotated[Path | None, typer.Option("--work", help="Working folder.")] = None,
):
    """Make the whole site: lessons, exercises, the department's data, and what runs them.

    The first time it fetches about 30 MB; the files are kept, and later it needs no internet.
    """
    import os

    from aerialstream.department import FOLDER_VARIABLE
    from gradekit.course import CourseError
    from gradekit.site.build import SiteError, build
    from gradekit.site.parts import PartsError
    from gradekit.site.serve import NOTE

    chosen = department or os.environ.get(FOLDER_VARIABLE) or None
    try:
        size = build(folder, chosen, work=work, given=parts, say=_say)
    except (SiteError, PartsError) as error:
        raise CourseError(str(error)) from None
    _say(f"\n{size / 1e6:.0f} MB in {folder.resolve()}\n\n{NOTE}")
    _say(f"Or serve it from here: aerialstream site serve {folder}")


@site_app.command("serve")
def serve_site(
    folder: Annotated[Path, typer.Argument(help="A folder that `site build` made.")],
    port: Annotated[int, typer.Option(min=1, max=65535)] = 8000,
    host: Annotated[
        str, typer.Option(help="127.0.0.1: this computer only; 0.0.0.0: the local network.")
    ] = "0.0.0.0",
    certificate: Annotated[
        Path | None, typer.Option(help="Serve over https with this certificate (PEM).")
    ] = None,
    key: Annotated[Path | None, typer.Option(help="Key of the certificate (PEM).")] = None,
):
    """Serve the site until Ctrl+C."""
    import ssl

    from gradekit.course import CourseError
    from gradekit.site.build import MARK
    from gradekit.site.serve import addresses, server

    if not (folder / MARK).is_file():
        raise CourseError(
            f"{folder} holds no site: make one with `aerialstream site build {folder}`"
        )
    for file in (certificate, key):
        if file and not file.is_file():
            raise CourseError(f"{file}: there is no such file")
    try:
        running = server(folder, host, port, certificate, key)
    except ssl.SSLError as error:
        raise CourseError(f"certificate and key do not fit together: {error}") from None
    except OSError:
        raise CourseError(f"port {port} is taken: choose another with --port") from None
    _say("The lessons are at\n")
    for address in addresses(host, port, "https" if certificate else "http"):
        _say(f"    {address}")
    if not certificate:
        _say(
            "\nOther devices need this server all the time. Over https (--certificate, --key) they keep "
            "the site and need it once."
        )
    _say("Stop it with Ctrl+C.")
    try:
        running.serve_forever()
    except KeyboardInterrupt:
        _say("\nStopped.")
    finally:
        running.server_close()
