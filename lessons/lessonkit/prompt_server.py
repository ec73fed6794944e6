"""The notebook server's side of a quick panel: answers leave the server as soon as they are there.

Without this the system holds back the second of two small messages until the first is
acknowledged, which the other side does up to 40 ms later: most of the time from a key to its picture.
"""

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection


class PromptConnection(ZMQChannelsWebsocketConnection):
    """The server's usual way between page and kernel, with nothing held back on the wire."""

    def connect(self):
        """Called once for each page, when the line stands and before the first message."""
        self.websocket_handler.set_nodelay(True)
        return super().connect()
