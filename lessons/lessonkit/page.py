"""HTML for lesson cells: the style sheet, and a static figure with words for those who cannot see."""

import base64
import io
from html import escape

STYLE = """
.as-panel{display:flex;flex-flow:row wrap;align-items:flex-start;gap:8px 24px;padding:4px 2px 8px;max-width:1120px}
.as-controls{flex:1 1 300px;max-width:760px;overflow:visible}
.as-result-side{flex:3 1 500px;max-width:760px;height:auto!important}
.as-result-side .widget-html-content{line-height:1.5}
.as-panel .widget-label,.as-ask .widget-label{min-width:0;white-space:normal}
.as-panel .noUi-handle{width:26px!important;height:26px!important;top:-11px!important;border-radius:13px!important}
.as-panel .widget-slider{padding:0 14px}
.as-reading{line-height:1.5;margin:6px 0 10px;min-height:4.5em}
.as-limit{border-left:5px solid #7d8894;padding:4px 10px;margin:6px 0}
.as-limit.beyond{border-left-color:#c62f00;font-weight:600}
.as-outcome,.as-said{border-left:5px solid #7d8894;padding:4px 10px;margin:6px 0;line-height:1.5}
.as-figure{margin:8px 0}.as-figure img{max-width:100%;height:auto;background:#fff}
.as-note{margin:4px 0}
.as-ask .widget-radio-box label{white-space:normal;height:auto;line-height:1.4;padding:7px 0;align-items:flex-start}
.as-ask .widget-radio-box{height:auto;margin-bottom:6px}
.as-ask .widget-radio{width:100%;height:auto}
.as-ask p,.as-ask label,.as-ask input{font-size:16px!important;line-height:1.5}
.as-panel .widget-label,.as-panel select,.as-panel input{font-size:15px!important}
.as-panel select,.as-panel input,.as-ask input[type=text]{height:40px!important;box-sizing:border-box}
.as-panel .widget-dropdown,.as-panel .widget-text,.as-ask .widget-text{height:42px!important}
.as-panel .widget-dropdown{padding-right:2px}
.as-ask input[type=radio]{width:22px;height:22px;margin-right:10px;flex:none}
.as-reading,.as-limit{font-size:16px}
.as-ask button,.as-panel button{min-height:40px;font-size:1em}
"""


def style_html():
    """The style sheet as an HTML element; putting it out twice does no harm."""
    return f"<style>{STYLE}</style>"


class Shown:
    """HTML as a cell's last value, with the same in plain text."""

    def __init__(self, html, text):
        self._html, self._text = html, text

    def _repr_html_(self):
        return self._html

    def __repr__(self):
        return self._text


def show_figure(drawn):
    """A static figure as HTML with its description; JupyterLab drops that of image outputs.

    Takes
      drawn   what a function of aerialstream.figures gives: .figure (matplotlib) and .alt
    """
    buffer = io.BytesIO()
    drawn.figure.savefig(buffer, format="png", dpi=110)
    data = base64.b64encode(buffer.getvalue()).decode()
    return Shown(
        f"<figure class='as-figure'><img alt='{escape(drawn.alt, quote=True)}' "
        f"src='data:image/png;base64,{data}'><details><summary>In words</summary>"
        f"<p>{escape(drawn.alt)}</p></details></figure>{style_html()}",
        drawn.alt,
    )
