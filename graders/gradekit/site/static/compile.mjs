// Run with Node: `node compile.mjs INTERPRETER-FOLDER FROM TO [FROM TO ...]`. Adds to each wheel what
// Python compiles its sources to, in the interpreter that will load them. Not part of the site.
import { readFileSync, writeFileSync } from 'node:fs';
import { pathToFileURL } from 'node:url';

const [folder, ...files] = process.argv.slice(2);
const { loadPyodide } = await import(pathToFileURL(`${folder}/pyodide.mjs`).href);
const python = await loadPyodide({ indexURL: `${folder}/`, env: { HOME: '/home', PYTHONHASHSEED: '0' } });
python.runPython(`
import importlib.util, io, sys, zipfile
from importlib._bootstrap_external import _code_to_hash_pyc

HOME = "/lib/python%d.%d/site-packages/" % sys.version_info[:2]

def put(archive, name, data):
    entry = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.external_attr = 0o644 << 16
    archive.writestr(entry, data)

def compiled(wheel):
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(wheel)) as old, zipfile.ZipFile(made, "w") as new:
        for name in sorted(old.namelist()):
            if name.endswith("/"):
                continue
            source = old.read(name)
            put(new, name, source)
            if not name.endswith(".py") or ".data/" in name:
                continue
            try:
                code = compile(source, HOME + name, "exec", dont_inherit=True)
            except SyntaxError:
                continue
            # Its hash is not looked at: source and code come in one file.
            pyc = _code_to_hash_pyc(code, importlib.util.source_hash(source), False)
            put(new, importlib.util.cache_from_source(name), pyc)
    return made.getvalue()
`);
for (let n = 0; n < files.length; n += 2) {
  python.FS.writeFile('/given.whl', new Uint8Array(readFileSync(files[n])));
  python.runPython('open("/made.whl", "wb").write(compiled(open("/given.whl", "rb").read()))');
  writeFileSync(files[n + 1], python.FS.readFile('/made.whl'));
}
