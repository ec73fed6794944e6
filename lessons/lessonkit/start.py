"""Opens the lessons in JupyterLab: `python -m lessonkit.start`, called by `python3 lessons`.

Lessons are read from a copy in the working folder, so that trying things changes no source. A
learner's own work there is never overwritten: where a newer version comes, the old file is kept
beside it.
"""

import argparse
import contextlib
import hashlib
import json
import os
import re
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
import tomllib
import traceback
import urllib.request
import webbrowser
from pathlib import Path

LESSONS = Path(__file__).resolve().parents[1]
PROJECT = LESSONS.parent
LAB_SETTINGS = Path(__file__).parent / "lab"
TRIES = 3  # another start may take the same port between looking and taking
SECONDS_TO_START = 180  # an old station PC takes its time
KEPT_ASIDE = "earlier work"
CLASS_PAGE = "gradekit.live_class"  # the server's extension with the instructor's page of the class
# Straight to this machine: a proxy that the department's network asks for does not know it.
DIRECT = urllib.request.build_opener(urllib.request.ProxyHandler({}))


def parsed(arguments):
    """The options, as `python3 lessons` hands them on."""
    parser = argparse.ArgumentParser(prog="python3 lessons")
    parser.add_argument("--no-browser", action="store_true")
    parser.add_argument("--port", type=int)
    parser.add_argument("--department", type=Path)
    parser.add_argument("--member", default="")
    parser.add_argument("--work", type=Path)
    parser.add_argument("--instructor", action="store_true")
    parser.add_argument("--handouts", type=Path, metavar="DIR")
    return parser.parse_args(arguments)


def syllabus():
    """The lessons in order, from syllabus.toml."""
    return tomllib.loads((LESSONS / "syllabus.toml").read_text(encoding="utf-8"))


def study_folder(work, member="", instructor=False):
    """Where this member's copies live; without a number one folder for everybody."""
    name = "instructor" if instructor else "study"
    return work / (f"{name}-{member}" if member else name)


def _digest(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def copy_in(source, target, kept):
    """Copy a file into the study folder without losing anybody's work.

    Takes
      source, target   paths
      kept             {path: digest of what was last copied there}, changed in place
    """
    key, fresh = target.name, _digest(source)
    if target.is_file():
        if kept.get(key) == fresh:
            return
        if _digest(target) not in (kept.get(key), fresh):
            aside = target.parent / KEPT_ASIDE
            aside.mkdir(exist_ok=True)
            stamp = time.strftime("%Y%m%d-%H%M%S")
            shutil.move(target, aside / f"{target.stem} {stamp}{target.suffix}")
    target.parent.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(source, target)
    sign(target)
    kept[key] = fresh


def sign(path):
    """Let the notebook server trust our own copy: only then does it run when it is opened."""
    import nbformat
    from nbformat.sign import NotebookNotary

    NotebookNotary().sign(nbformat.read(path, as_version=4))


def fill_study_folder(study, member, instructor=False, class_page=""):
    """Bring lessons, glossary and start page up to date in the study folder."""
    from lessonkit import glossary, home, progress, refreshing

    study.mkdir(parents=True, exist_ok=True)
    kept = _kept(study)
    plan = syllabus()
    for lesson in plan["lesson"]:
        copy_in(_with_words(study.parent, lesson["notebook"]), study / lesson["notebook"], kept)
    place = study / progress.KEPT_IN / home.PLACE
    place.parent.mkdir(exist_ok=True)
    if not place.is_file():
        place.write_text("{}", encoding="utf-8")
    (study / glossary.PAGE).write_text(glossary.page(), encoding="utf-8")
    page = study / refreshing.PAGE
    progress.write_whole(page, refreshing.notebook())
    sign(page)
    home.write(study, member, instructor, class_page)
    _keep(study, kept)


def fill_beside(study, member, instructor=False):
    """Lay the instructor's pages and the released exercises into the study folder, one by one.

    That takes seconds for each: it runs beside the server, and the start page offers what is there.
    """
    if instructor:
        from lessonkit import teach

        try:
            teach.write_instructor(study, syllabus())
        except Exception:  # it is told here; the exercises come all the same
            traceback.print_exc()
        _start_page(study, member, instructor)
    for lesson in syllabus()["lesson"]:
        name = lesson.get("assignment")
        if not name:
            continue
        try:
            released = _released(study.parent, name)
        except subprocess.CalledProcessError:
            continue  # its line on the start page says that it is not there
        kept = _kept(study)
        target = study / "assignments" / name / f"{name}.ipynb"
        copy_in(_with_member(released, member), target, kept)
        _keep(study, kept)
        _start_page(study, member, instructor)
    if member and (study.parent / "class").is_dir():  # what the class knows, for the refresher
        command = [
            "-m",
            "gradekit.cli",
            "refresher",
            "--member",
            member,
            "--work",
            str(study.parent),
        ]
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        subprocess.run([sys.executable, *command], check=False, **quiet)
        _start_page(study, member, instructor)


def _start_page(study, member, instructor):
    """Write the start page anew; one that is being read just then waits for the next time."""
    from lessonkit import home

    with contextlib.suppress(OSError):
        home.write(study, member, instructor)


def _kept(study):
    """What was last laid into the study folder: {file name: digest}."""
    try:
        return json.loads((study / ".kept.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}


def _keep(study, kept):
    from lessonkit import progress

    progress.write_whole(study / ".kept.json", json.dumps(kept))


def _with_words(work, name):
    """The lesson with its trade words linked to the glossary where they first stand."""
    from lessonkit import glossary

    nb = json.loads((LESSONS / name).read_text(encoding="utf-8"))
    cells = [cell for cell in nb["cells"] if cell["cell_type"] == "markdown"]
    texts, _ = glossary.marked(["".join(cell["source"]) for cell in cells])
    for cell, text in zip(cells, texts, strict=True):
        cell["source"] = text
    target = work / "released" / "lessons" / name
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text(json.dumps(nb, indent=1, ensure_ascii=False), encoding="utf-8")
    return target


def _released(work, name):
    """The learners' version of an exercise; made again only when its source changed."""
    source = PROJECT / "source_assignments" / name / f"{name}.ipynb"
    cache = work / "released" / f"{name}-{_digest(source)[:16]}.ipynb"
    if not cache.is_file():
        command = [sys.executable, "-m", "gradekit.release", name, str(cache)]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    return cache


def _with_member(released, member):
    """The released notebook with a member number in it, or as it is."""
    if not member:
        return released
    nb = json.loads(released.read_text(encoding="utf-8"))
    for cell in nb["cells"]:
        source = "".join(cell["source"])
        if source.startswith('member = ""'):
            cell["source"] = source.replace('member = ""', f'member = "{member}"', 1)
    target = released.with_name(f"{released.stem}-{member}.ipynb")
    target.write_text(json.dumps(nb, indent=1), encoding="utf-8")
    return target


def free_port(wanted=None):
    """A port on this machine: the wanted one, else the first free one from 8890 on."""
    for port in (wanted,) if wanted else range(8890, 8990):
        with socket.socket() as probe:
            if os.name == "posix":  # a port just given back may be taken again
                probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind(("127.0.0.1", port))
                return port
            except OSError:
                continue
    return None


def lab_config(study, port, instructor=False):
    """JupyterLab's settings: quiet, uncluttered, on this machine only."""
    # JupyterLab and the plain notebook page get the same settings.
    page = {
        "app_settings_dir": str(LAB_SETTINGS),
        "extra_labextensions_path": [str(LAB_SETTINGS / "extensions")],
        "user_settings_dir": str(study / ".lab" / "user-settings"),
        "workspaces_dir": str(study / ".lab" / "workspaces"),
        "custom_css": True,
    }
    quiet = {"news_url": None, "check_for_updates_class": "jupyterlab.NeverCheckForUpdate"}
    off = ("formgrader", "validate_assignment", "assignment_list", "course_list")
    return {
        "ServerApp": {
            "ip": "127.0.0.1",
            "port": port,
            "port_retries": 0,
            "open_browser": False,
            "root_dir": str(study),
            "log_level": "WARN",
            "allow_root": True,
            "terminals_enabled": False,
            "kernel_websocket_connection_class": "lessonkit.prompt_server.PromptConnection",
            "jpserver_extensions": {
                "jupyter_lsp": False,
                **({CLASS_PAGE: True} if instructor else {}),
                **{f"nbgrader.server_extensions.{name}": False for name in off},
            },
        },
        "LabApp": {**page, **quiet},
        "JupyterNotebookApp": page,
    }


def lab_command(study, port, instructor=False):
    """The command that serves the study folder; its settings go into files of ours."""
    config = study / ".lab" / "jupyter_config.json"
    (config.parent / "custom").mkdir(parents=True, exist_ok=True)
    shutil.copyfile(LAB_SETTINGS / "custom.css", config.parent / "custom" / "custom.css")
    # The plain notebook page looks for what is switched off in this place only.
    (config.parent / "labconfig").mkdir(exist_ok=True)
    shutil.copyfile(
        LAB_SETTINGS / "page_config.json", config.parent / "labconfig" / "page_config.json"
    )
    config.write_text(json.dumps(lab_config(study, port, instructor), indent=1), encoding="utf-8")
    return [sys.executable, "-m", "jupyterlab", f"--config={config}"]


def wait_until_up(server, url):
    """True once the server lets us in; False if it ended or took too long.

    A refusal comes from somebody else's server that took the port in the same moment.
    """
    end = time.monotonic() + SECONDS_TO_START
    while time.monotonic() < end and server.poll() is None:
        try:
            with DIRECT.open(url, timeout=2):
                return True
        except OSError:
            time.sleep(0.1)
    return False


def main(arguments=None):
    """Fill the study folder, start the server, say where it is and how to stop it."""
    options = parsed(arguments)
    work = (options.work or Path(os.environ.get("AERIALSTREAM_WORK") or PROJECT / "work")).resolve()
    if options.department:
        os.environ["AERIALSTREAM_DEPARTMENT"] = str(options.department.resolve())
    fault = department_fault()
    if fault:
        print(fault)
        return 2
    member = options.member.strip().upper()
    if member and not re.fullmatch(r"[A-Z0-9][A-Z0-9-]{0,19}", member):
        print(f"“{options.member}” is no member number: use letters, digits and hyphens.")
        return 2
    os.environ["AERIALSTREAM_MEMBER"] = member
    clash = version_clash()
    if clash:
        print(clash)
        return 2
    if options.handouts:
        return handouts(options.handouts.resolve())
    study = study_folder(work, member, options.instructor)
    log = work / "lessons.log"
    beside = threading.Thread(
        target=fill_beside, args=(study, member, options.instructor), daemon=True
    )
    for _ in range(TRIES):
        port = free_port(options.port)
        if port is None:
            print(f"Port {options.port} is taken: choose another, or leave --port out.")
            return 2
        class_page = f"http://127.0.0.1:{port}/class" if options.instructor else ""
        if beside.ident is None:
            fill_study_folder(study, member, options.instructor, class_page)
            beside.start()
        else:  # what is beside by now notes what it lays there: only the address is new
            from lessonkit import home

            home.write(study, member, options.instructor, class_page)
        status = serve(study, port, log, options.no_browser, options.instructor)
        if status is not None:
            return status
    return _not_started(log)


def _not_started(log):
    print(f"The server did not start; what it said is in {log}")
    return 1


def department_fault():
    """What is wrong with the department's files, or None; said before anything opens."""
    from aerialstream.department import load_department
    from aerialstream.errors import DepartmentDataError

    try:
        load_department()
    except DepartmentDataError as error:
        return str(error)
    return None


# package -> (first major version that will do, first that will not)
NEEDED = {"ipywidgets": (8, 9), "jupyterlab": (4, 5), "notebook": (7, 8)}


def version_clash(installed=None):
    """What is wrong with the versions of what the lessons run in, in words, or None."""
    from importlib.metadata import PackageNotFoundError, version

    said = []
    for name, (least, beyond) in NEEDED.items():
        try:
            found = (installed or {}).get(name) or version(name)
        except PackageNotFoundError:
            said.append(f"{name} is not there, version {least} is needed")
            continue
        if not least <= int(found.split(".")[0]) < beyond:
            said.append(f"{name} is version {found}, version {least} is needed")
    if not said:
        return None
    return (
        f"The lessons cannot run as they are: {'; '.join(said)}.\nDelete the kit's folder .venv and "
        "start “python3 lessons” again: it makes a fresh one. Your work is kept."
    )


def handouts(folder):
    """Write the handouts of all lessons; as PDF where a browser can print them."""
    from lessonkit import teach

    for path in teach.write_handouts(folder, syllabus()):
        print(path)
    if teach.browser() is None:
        print("No Chromium, Chrome or Edge was found: open the pages and print them as PDF.")
    return 0


def serve(study, port, log_path, no_browser, instructor=False):
    """Run the server until it is stopped; gives the exit status, or None if it ended before it was up."""
    from lessonkit import home

    for name in ("SIGTERM", "SIGHUP"):
        # A closed terminal or a kill stops the server too; it must not stay behind.
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), signal.default_int_handler)
    token = secrets.token_urlsafe(18)
    address = f"http://127.0.0.1:{port}/doc/tree/start.md?token={token}"
    with log_path.open("ab") as log:
        server = subprocess.Popen(
            lab_command(study, port, instructor),
            stdout=log,
            stderr=log,
            env={
                **home.environment(study),
                "JUPYTER_TOKEN": token,
                # A user's own Jupyter settings neither disturb the lessons nor are touched.
                "JUPYTER_CONFIG_DIR": str(study / ".lab"),
                # The page knows what it sent; hearing it again would only cost time.
                "JUPYTER_WIDGETS_ECHO": "0",
            },
        )
        try:
            if not wait_until_up(server, f"http://127.0.0.1:{port}/api/status?token={token}"):
                return None if server.poll() is not None else _not_started(log_path)
            print(f"\nThe lessons are open at\n\n    {address}\n")
            print("Stop them here with Ctrl+C.", flush=True)
            if not no_browser:
                webbrowser.open(address)
            return server.wait()
        except KeyboardInterrupt:
            print("\nStopped. What you saved is in", study)
            return 0
        finally:
            if server.poll() is None:
                server.terminate()
                try:
                    server.wait(10)
                except subprocess.TimeoutExpired:
                    server.kill()


if __name__ == "__main__":
    raise SystemExit(main())
