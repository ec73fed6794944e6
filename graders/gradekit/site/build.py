"""Making the site: page, interpreter, wheels, lessons and exercises put together in one folder.

Nothing is compiled and nothing is asked for on the way, so that two builds of the same kit give
the same bytes.
"""

import hashlib
import json
import re
import shutil
import tarfile
import zipfile
from html import escape
from io import BytesIO
from pathlib import Path

from gradekit.site import parts, wheel
from gradekit.site.compiled import compile_wheels
from gradekit.site.exercises import released

STATIC = Path(__file__).with_name("static")
MARK = "site.json"
STORE = "aerialstream"  # name of the browser's storage that holds a visitor's work
LARGEST = 60_000_000
EPOCH = "2000-01-01T00:00:00.000Z"
NOTEBOOK_PAGE = "notebooks"
# Of the interpreter's package only what a browser loads.
OF_INTERPRETER = ("pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm", "python_stdlib.zip")
# Parts of the page that are not used: sources of maps, fonts of browsers that cannot run this.
LEFT_OUT = (".map", ".eot", ".ttf", ".svg", ".orig", "third-party-licenses.json")
# The kernel's own set-up asks for these by name unless they are loaded already.
KERNEL_WHEELS = ("ipykernel", "pyodide_kernel")
# Also asked for by name: what guesses words while code is typed, and what installs packages. Nobody
# does either here, and both take seconds to load; these stand in for them.
NOTHING_INSTALLED = "Nothing is installed here: the lessons have all they need."
STAND_INS = {
    "jedi": {},
    "micropip": {},
    "piplite": {
        "piplite/__init__.py": "from .piplite import install\n",
        "piplite/piplite.py": "_PIPLITE_DISABLE_PYPI, _PIPLITE_URLS = True, []\n\n\n"
        f'async def install(*names, **how):\n    raise RuntimeError("{NOTHING_INSTALLED}")\n',
        "piplite/cli.py": "async def get_transformed_code(words):\n"
        f"    return 'raise RuntimeError(\"{NOTHING_INSTALLED}\")'\n",
    },
}
# The page's own service worker is not used: ours keeps the site, and the extension carries files.
SWITCHED_OFF = (
    "@jupyterlite/application-extension:service-worker-manager",
    "@jupyterlite/application-extension:share-file",
    "@jupyterlite/application-extension:lsp-connection-manager",
    "@jupyterlite/application-extension:clear-browser-data",
    "@jupyterlite/application-extension:download",
    "@jupyterlab/application-extension:faviconbusy",
    "@jupyterlab/filebrowser-extension:notify-upload",
    "@jupyter-notebook/application-extension:tab-title",
    "@jupyter-notebook/application-extension:title",
    "@jupyter-notebook/notebook-extension:tab-icon",
    "@jupyter-notebook/notebook-extension:trusted",
    "@jupyterlite/notebook-application-extension:logo",
    "@jupyter-notebook/help-extension",
    "@jupyter-notebook/notebook-extension:kernel-logo",
    "@jupyter-notebook/notebook-extension:checkpoints",
    "@jupyter-notebook/notebook-extension:kernel-status",
    "@jupyterlab/logconsole-extension",
    "@jupyterlab/completer-extension",
    "@jupyterlab/tooltip-extension",
    "@jupyterlab/console-extension",
    "@jupyter-notebook/console-extension",
)


class SiteError(ValueError):
    """The site could not be made; one message with what to do."""


def build(target, department=None, *, work=None, given=None, say=print):
    """Make the whole site in a folder; gives its size in bytes.

    Takes
      target      folder to make; one that holds anything but a site of ours is refused
      department  folder with a department's data, or None for the invented one
      work        working folder, where released exercises are kept
      given       folder with the parts, fetched elsewhere; None: the user's cache
      say         called with each line of progress
    Fails when
      SiteError, PartsError, DepartmentDataError, CourseError
    """
    from aerialstream.department import DEMO_FOLDER, load_department
    from gradekit.course import work_folder

    target, folder = Path(target).resolve(), Path(department or DEMO_FOLDER)
    _refuse_strangers(target)
    whose = load_department(folder)
    store = parts.gather(Path(given) if given else parts.cache_folder(), say)
    say("Preparing the exercises ...")
    papers = released(work_folder(work))
    say("Putting the site together ...")
    fresh = target.with_name(f".{target.name}.part")
    shutil.rmtree(fresh, ignore_errors=True)
    fresh.mkdir(parents=True)
    try:
        _lay_page(fresh, store)
        kit = _lay_interpreter(fresh, store, folder, say)
        plan = _lay_lessons(fresh, papers)
        _own_pages(fresh, plan, whose, kit, _settings(fresh))
        size = sum(path.stat().st_size for path in fresh.rglob("*") if path.is_file())
        if size > LARGEST:
            raise SiteError(
                f"the site has grown to {size / 1e6:.0f} MB, at most {LARGEST / 1e6:.0f}"
            )
        shutil.rmtree(target, ignore_errors=True)
        fresh.rename(target)
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
    return size


def _refuse_strangers(target):
    """Only an empty folder or an older site may be replaced."""
    if target.exists() and not target.is_dir():
        raise SiteError(f"{target} is a file: give the name of a folder")
    if target.is_dir() and any(target.iterdir()) and not (target / MARK).is_file():
        raise SiteError(f"{target} holds other things, which would be lost: give a new folder")


def _put(path, data):
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data if isinstance(data, bytes) else data.encode("utf-8"))


def _json(path, data):
    _put(path, json.dumps(data, indent=1, sort_keys=True, ensure_ascii=False) + "\n")


# --- the page ---------------------------------------------------------------------------------


def _lay_page(site, store):
    """The notebook page itself, and the extensions it needs."""
    for name, data in _app_files(store):
        if name.startswith("build/") or name == "bootstrap.js":
            _put(site / name, data)
    for part in ("jupyterlab_widgets", "jupyterlite_pyodide_kernel"):
        for name, data in _extension_files(store, part):
            _put(site / "extensions" / name, data)
    from lessonkit.start import LAB_SETTINGS

    for folder in (LAB_SETTINGS / "extensions", STATIC / "extensions"):
        for path in sorted(folder.rglob("*")):
            if path.is_file():
                _put(site / "extensions" / path.relative_to(folder), path.read_bytes())
    _put(
        site / "extensions/aerialstream-lab/custom.css", (LAB_SETTINGS / "custom.css").read_bytes()
    )


def _wheel(store, name):
    _, wheels = parts.listed()
    return store / next(w.file for w in wheels if w.file.startswith(f"{name}-"))


def _kept(name):
    return not name.endswith(LEFT_OUT)


def _app_files(store):
    """(name, bytes) of the page's files, without those left out."""
    with zipfile.ZipFile(_wheel(store, "jupyterlite_core")) as archive:
        inner = next(n for n in archive.namelist() if re.search(r"jupyterlite-app-.*\.tgz$", n))
        packed = archive.read(inner)
    with tarfile.open(fileobj=BytesIO(packed), mode="r:gz") as tar:
        for member in tar:
            name = member.name.removeprefix("package/")
            if member.isfile() and _kept(name):
                yield name, tar.extractfile(member).read()


def _extension_files(store, part):
    """(name below extensions/, bytes) of a page's extension that a wheel brings."""
    with zipfile.ZipFile(_wheel(store, part)) as archive:
        for name in archive.namelist():
            _, found, inner = name.partition("/share/jupyter/labextensions/")
            if found and not inner.endswith("/") and _kept(inner) and "/pypi/" not in inner:
                yield inner, archive.read(name)
            elif found and inner.endswith("/pypi/all.json"):
                yield inner, b"{}\n"  # nothing is installed while it runs


# --- the interpreter --------------------------------------------------------------------------


def _lay_interpreter(site, store, department, say):
    """The interpreter, its wheels, the kit's own, and one list of them all; gives the kit's file."""
    folder = site / "static" / "pyodide"
    folder.mkdir(parents=True)
    interpreter, wheels = parts.listed()
    with tarfile.open(store / interpreter.file, mode="r:gz") as tar:
        for name in OF_INTERPRETER:
            _put(folder / name, tar.extractfile(f"package/{name}").read())
        info = json.loads(tar.extractfile("package/pyodide-lock.json").read())["info"]
    for part in wheels:
        if not part.page:
            shutil.copyfile(store / part.file, folder / part.file)
    with zipfile.ZipFile(_wheel(store, "jupyterlite_pyodide_kernel")) as archive:
        for name in archive.namelist():
            if "/pypi/" in name and Path(name).name.split("-")[0] in KERNEL_WHEELS:
                _put(folder / Path(name).name, archive.read(name))
    for name, files in STAND_INS.items():
        wheel.write_stand_in(folder, name, files)
    kit = wheel.write(folder, department)
    # Even to compile, the interpreter wants to see a list.
    _json(folder / "pyodide-lock.json", {"info": info, "packages": {}})
    if not compile_wheels(folder, parts.cache_folder() / "compiled"):
        say(
            "There is no Node here to compile with: a lesson's first load takes two seconds longer."
        )
    packages = {}
    for path in sorted(folder.glob("*.whl")):
        name, version = path.name.split("-")[:2]
        name = name.lower().replace("_", "-")
        packages[name] = {
            "depends": [],
            "file_name": path.name,
            "imports": [],
            "install_dir": "site",
            "name": name,
            "package_type": "package",
            "sha256": hashlib.sha256(path.read_bytes()).hexdigest(),
            "unvendored_tests": False,
            "version": version,
        }
    _json(folder / "pyodide-lock.json", {"info": info, "packages": packages})
    return kit.name


# --- lessons and exercises --------------------------------------------------------------------


def _lay_lessons(site, papers):
    """Lessons and released exercises as files of the page; gives what the start page must know."""
    from lessonkit import glossary
    from lessonkit.start import LESSONS, syllabus

    listed = {"": [], "my progress": []}  # an empty one, so that the page need not ask in vain
    lessons = []
    for one in syllabus()["lesson"]:
        text = _lesson_text(LESSONS / one["notebook"])
        _put(site / "files" / one["notebook"], text)
        listed[""].append(_model(one["notebook"], text))
        name = one.get("assignment", "")
        lessons.append(_about(one, name if name in papers else ""))
    listed[""].append(_model("assignments"))
    for name, data in papers.items():
        path, data = f"assignments/{name}/{name}.ipynb", _trusted(json.loads(data))
        _put(site / "files" / path, data)
        listed.setdefault("assignments", []).append(_model(f"assignments/{name}"))
        listed[f"assignments/{name}"] = [_model(path, data)]
    for folder, models in listed.items():
        where = site / "api/contents" / folder / "all.json"
        _json(where, _model(folder) | {"content": sorted(models, key=lambda m: m["path"])})
    for name in ("all", "en"):
        _json(site / f"api/translations/{name}.json", {"data": {}, "message": ""})
    _put(site / "glossary.html", _glossary_page(glossary.terms(), glossary.anchor))
    return {"title": syllabus()["title"], "lessons": lessons, "exercises": sorted(papers)}


def _lesson_text(path):
    """The lesson as on the desktop: the same file, its trade words linked to the glossary."""
    from lessonkit import glossary

    nb = json.loads(path.read_text(encoding="utf-8"))
    cells = [cell for cell in nb["cells"] if cell["cell_type"] == "markdown"]
    texts, _ = glossary.marked(["".join(cell["source"]) for cell in cells])
    for cell, text in zip(cells, texts, strict=True):
        cell["source"] = text
    return _trusted(nb)


def _trusted(nb):
    """A notebook of ours as bytes, marked as the notebook server's signature does on the desktop."""
    for cell in nb["cells"]:
        if cell["cell_type"] == "code":
            cell["metadata"]["trusted"] = True
    return (json.dumps(nb, indent=1, ensure_ascii=False) + "\n").encode("utf-8")


def _about(lesson, assignment):
    """What the start page tells of a lesson."""
    from lessonkit.home import check_names, months_of_theory

    return {
        **{key: lesson[key] for key in ("number", "notebook", "title", "minutes", "question")},
        "assignment": assignment,
        "checks": list(check_names(lesson["notebook"])),
        "months": months_of_theory(lesson),
    }


def _model(path, data=None):
    """What the page wants to know of a file, or of a folder where there is no data."""
    return {
        "content": None,
        "created": EPOCH,
        "format": "json" if data is None else None,
        "last_modified": EPOCH,
        "mimetype": None,
        "name": path.rpartition("/")[2],
        "path": path,
        "size": None if data is None else len(data),
        "type": "directory" if data is None else "notebook",
        "writable": True,
    }


def _glossary_page(terms, anchor):
    parts_ = [
        f"<dt id='{escape(anchor(t['word']))}'>{escape(t['word'])}</dt><dd>{escape(t['means'])}</dd>"
        for t in terms
    ]
    return _filled("glossary.html", {"terms": "\n".join(parts_)})


# --- settings and our own pages ---------------------------------------------------------------


def _settings(site):
    """The page's settings: ours of the desktop, and everything from this site."""
    from lessonkit.start import LAB_SETTINGS

    switched = json.loads((LAB_SETTINGS / "page_config.json").read_text(encoding="utf-8"))
    off = [name for name, is_off in switched["disabledExtensions"].items() if is_off]
    overrides = json.loads((LAB_SETTINGS / "overrides.json").read_text(encoding="utf-8"))
    overrides["@jupyter-notebook/application-extension:top"] = {"visible": "no"}  # our bar is there
    lock = json.loads((site / "static/pyodide/pyodide-lock.json").read_text(encoding="utf-8"))
    extensions = []
    for path in sorted((site / "extensions").rglob("package.json")):
        about = json.loads(path.read_text(encoding="utf-8"))
        if "_build" in about.get("jupyterlab", {}):
            made = about["jupyterlab"]["_build"]
            style = {"style": made["style"]} if "style" in made else {}
            extensions.append(
                {
                    "extension": made["extension"],
                    "load": made["load"],
                    "name": about["name"],
                    **style,
                }
            )
    _json(site / "build/schemas/all_federated.json", _schemas(site / "extensions"))
    # What the page reads at its start; `lesson.js` makes the addresses whole.
    return {
        "appName": "Lessons",
        "appUrl": f"./{NOTEBOOK_PAGE}",
        "appVersion": wheel.VERSION,
        "baseUrl": "./",
        "contentsAllJsonFile": "all.json",
        "defaultKernelName": "python",
        "disabledExtensions": sorted({*off, *SWITCHED_OFF}),
        "enableMemoryStorage": False,
        "exposeAppInBrowser": False,
        "federated_extensions": extensions,
        "fullLabextensionsUrl": "./extensions",
        "fullStaticUrl": "./build",
        "notebookPage": NOTEBOOK_PAGE,
        "settingsOverrides": overrides,
        "settingsUrl": "./build/schemas",
        "themesUrl": "./build/themes",
        "litePluginSettings": {
            "@jupyterlite/pyodide-kernel-extension:kernel": {
                "pyodideUrl": "./static/pyodide/pyodide.mjs",
                "disablePyPIFallback": True,
                "pipliteUrls": [],
                "loadPyodideOptions": {
                    "packages": sorted(lock["packages"]),
                    "env": _environment(lock),
                },
            }
        },
    }


def _schemas(extensions):
    """The settings that the extensions ask for."""
    found = []
    for path in sorted(extensions.glob("*/*/schemas/*/*/*.json")):
        owner = f"{path.parent.parent.name}/{path.parent.name}"
        version = json.loads((extensions / owner / "package.json").read_text("utf-8"))["version"]
        schema = json.loads(path.read_text(encoding="utf-8"))
        name = f"{owner}:{path.stem}"
        found.append(
            {"id": name, "raw": "{}", "schema": schema, "settings": {}, "version": version}
        )
    return found


def _environment(lock):
    """What the kernel in the browser finds set, as on the desktop."""
    major, minor, *_ = lock["info"]["python"].split(".")
    return {
        "AERIALSTREAM_DEPARTMENT": f"/lib/python{major}.{minor}/site-packages/{wheel.DEPARTMENT}",
        "AERIALSTREAM_STUDY": "/home/pyodide/study",
        "JUPYTER_WIDGETS_ECHO": "0",
        "HOME": "/home/pyodide",
    }


def _filled(name, words):
    """A file of ours with {{name}} filled in."""
    text = (STATIC / name).read_text(encoding="utf-8")
    for key, value in words.items():
        text = text.replace("{{" + key + "}}", value)
    return text


def _own_pages(site, plan, department, kit, settings):
    """Start page, lesson page, what they share, and the list of all files for use without network."""
    bundle = next((site / "build" / NOTEBOOK_PAGE).glob("bundle*.js")).name
    for name in ("start.css", "start.js", "work.js", "zip.js", "lesson.js", "old.js", "icon.svg"):
        shutil.copyfile(STATIC / name, site / name)
    words = {"title": escape(plan["title"]), "department": escape(department.name)}
    _put(site / "index.html", _filled("index.html", words))
    _put(site / "manifest.webmanifest", _filled("manifest.webmanifest", words))
    inline = json.dumps(settings, indent=1, sort_keys=True).replace("</", "<\\/")
    page = _filled("lesson.html", {**words, "bundle": bundle, "settings": inline})
    _put(site / NOTEBOOK_PAGE / "index.html", page)
    files = sorted(p.relative_to(site).as_posix() for p in site.rglob("*") if p.is_file())
    digest = hashlib.sha256()
    for name in files:
        digest.update(name.encode() + hashlib.sha256((site / name).read_bytes()).digest())
    version = digest.hexdigest()[:16]
    about = {**plan, "version": version, "department": department.name, "kit": kit, "store": STORE}
    _json(site / MARK, about)
    listed = json.dumps([*files, MARK], ensure_ascii=False)
    _put(site / "worker.js", _filled("worker.js", {"version": version, "files": listed}))
