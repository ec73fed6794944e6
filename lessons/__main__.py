"""`python3 lessons`: prepares the environment if need be and opens the lessons.

Standard library and Python 3.6 grammar only, for the same reason as in shared/bootstrap.py.
"""

import argparse
import os
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "shared"))

import bootstrap


def port(text):
    """A port number as argparse wants it."""
    number = int(text)
    if not 1 <= number <= 65535:
        raise argparse.ArgumentTypeError("a port is a number from 1 to 65535")
    return number


def options(words):
    """Read the command line, before any environment exists."""
    parser = argparse.ArgumentParser(
        prog="python3 lessons",
        description="Open the lessons in the browser. The first start makes the kit's own Python "
        "environment in the folder .venv, which takes a minute or two and the internet.",
    )
    parser.add_argument(
        "--no-browser", action="store_true", help="only print the address, open no browser"
    )
    parser.add_argument("--port", type=port, metavar="N", help="the port to serve the lessons on")
    parser.add_argument("--department", metavar="DIR", help="the folder with a department's files")
    parser.add_argument("--member", metavar="NUMBER", help="the member's number")
    parser.add_argument("--work", metavar="DIR", help="the folder for the member's own work")
    parser.add_argument(
        "--instructor", action="store_true", help="with a page and a handout for each lesson"
    )
    parser.add_argument(
        "--handouts", metavar="DIR", help="only write the handouts (pages, and PDF) to a folder"
    )
    return parser.parse_args(words)


def handover(chosen):
    """The same options for lessonkit.start, with folders that hold from any place."""
    words = ["-m", "lessonkit.start"]
    if chosen.no_browser:
        words.append("--no-browser")
    if chosen.port is not None:
        words += ["--port", str(chosen.port)]
    if chosen.department is not None:
        words += ["--department", os.path.abspath(chosen.department)]
    if chosen.member is not None:
        words.append("--member=" + chosen.member)
    if chosen.work is not None:
        words += ["--work", os.path.abspath(chosen.work)]
    if chosen.instructor:
        words.append("--instructor")
    if chosen.handouts is not None:
        words += ["--handouts", os.path.abspath(chosen.handouts)]
    return words


def main():
    """Check, prepare, hand over."""
    bootstrap.check_python()
    chosen = options(sys.argv[1:])
    if chosen.department is not None and not os.path.isdir(chosen.department):
        bootstrap.stop(
            f"There is no folder {os.path.abspath(chosen.department)}: give --department the "
            "folder with your department's files."
        )
    bootstrap.prepare("lessons")
    bootstrap.run(handover(chosen))


if __name__ == "__main__":
    main()
