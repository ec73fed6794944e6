"""Serving the site on the local network with Python's own library, with the right headers.

Any other web server does as well: it is a folder of plain files. What it has to know stands in
`NOTE`.
"""

import functools
import gzip
import http.server
import re
import socket
import ssl
from pathlib import Path

NOTE = """\
Any web server can hand this folder out. It has to
  - send .wasm as application/wasm and .mjs and .js as text/javascript,
  - not keep index.html, worker.js and site.json in a cache (Cache-Control: no-cache),
  - be reached over https: then tablets keep the site and it works without network. Over plain http
    it works too, but only while the server is reached. (This computer itself, as localhost, counts
    as https.)
"""
TYPES = {
    ".js": "text/javascript",
    ".mjs": "text/javascript",
    ".wasm": "application/wasm",
    ".whl": "application/octet-stream",
    ".webmanifest": "application/manifest+json",
    ".ipynb": "application/json",
    ".json": "application/json",
    ".svg": "image/svg+xml",
    ".css": "text/css",
    ".html": "text/html; charset=utf-8",
}
WORTH_PACKING = {".js", ".mjs", ".wasm", ".json", ".ipynb", ".css", ".html", ".svg"}
NEVER_CHANGES = re.compile(r"^/(build/.*\.[0-9a-f]{7,}\.js|static/pyodide/.*\.whl)$")
SMALL = 1400  # bytes that fit one packet; packing them gains nothing


@functools.lru_cache(maxsize=1000)
def _packed(path, changed):
    return gzip.compress(Path(path).read_bytes(), 6, mtime=0)


class Handler(http.server.SimpleHTTPRequestHandler):
    """Plain files, packed where the browser can unpack."""

    protocol_version = "HTTP/1.1"
    extensions_map = TYPES | {"": "application/octet-stream"}

    def list_directory(self, path):
        """No listings."""
        self.send_error(404)

    def end_headers(self):
        """What every answer says besides."""
        for_ever = NEVER_CHANGES.match(self.path.partition("?")[0])
        self.send_header("Cache-Control", "public, max-age=31536000" if for_ever else "no-cache")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.send_header("Referrer-Policy", "no-referrer")
        super().end_headers()

    def send_head(self):
        """The file, packed if that is worth it and nothing says it has not changed."""
        path = Path(self.translate_path(self.path))
        accepts = "gzip" in self.headers.get("Accept-Encoding", "")
        known = "If-Modified-Since" in self.headers
        if not (accepts and path.is_file() and path.suffix in WORTH_PACKING) or known:
            return super().send_head()
        about = path.stat()
        if about.st_size < SMALL:
            return super().send_head()
        data = _packed(str(path), about.st_mtime_ns)
        self.send_response(200)
        self.send_header("Content-Type", self.guess_type(str(path)))
        self.send_header("Content-Encoding", "gzip")
        self.send_header("Vary", "Accept-Encoding")
        self.send_header("Content-Length", str(len(data)))
        self.send_header("Last-Modified", self.date_time_string(about.st_mtime))
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(data)
        return None

    def log_message(self, *words):
        """Quiet."""


class Server(http.server.ThreadingHTTPServer):
    """A server that a page closed in the middle does not disturb."""

    daemon_threads = True

    def handle_error(self, request, client_address):
        """A browser that went away is nobody's concern."""


def server(folder, host="127.0.0.1", port=8000, certificate=None, key=None):
    """A server of a site's folder, not yet started; over https where it is given a certificate.

    Fails when
      OSError   the port is taken, or certificate and key do not fit
    """
    made = Server((host, port), functools.partial(Handler, directory=str(folder)))
    if certificate:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        try:
            context.load_cert_chain(certificate, key)
        except OSError:
            made.server_close()
            raise
        made.socket = context.wrap_socket(made.socket, server_side=True)
    return made


def addresses(host, port, scheme="http"):
    """Where it can be reached, the nearest first."""
    found = [f"{scheme}://127.0.0.1:{port}/"] if host in ("127.0.0.1", "0.0.0.0", "") else []
    if host in ("0.0.0.0", ""):
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            try:
                probe.connect(
                    ("10.255.255.255", 1)
                )  # sends nothing; picks the network's own address
                found.append(f"{scheme}://{probe.getsockname()[0]}:{port}/")
            except OSError:
                pass
    elif not found:
        found = [f"{scheme}://{host}:{port}/"]
    return found
