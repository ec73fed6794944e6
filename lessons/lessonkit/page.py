"""HTML for lesson cells: the style sheet, and a static figure with words for those who cannot see."""

import base64
import io
from html import escape

from aerialstream.charts.svg import PALETTE, figure_html


def _arrow(colour):
    """The arrow of a list to choose from: two slanted halves of one triangle."""
    return (
        f"background-image:linear-gradient(45deg,transparent 50%,{colour} 50%),"
        f"linear-gradient(135deg,{colour} 50%,transparent 50%)!important"
    )


STYLE = f"""
.widget-dropdown>select{{{_arrow(PALETTE["ink"][0])};background-size:8px 8px!important;background-position:right 16px center,right 8px center!important;background-repeat:no-repeat!important;padding-right:30px!important;text-overflow:ellipsis}}
[data-jp-theme-light='false'] .widget-dropdown>select{{{_arrow(PALETTE["ink"][1])}}}
.as-panel select,.as-panel input,.as-ask select,.as-ask input[type=text]{{border-color:{PALETTE["steel"][0]}!important}}
"""
STYLE += """\
.as-panel{display:flex;flex-flow:row wrap;align-items:flex-start;gap:8px 24px;padding:4px 2px 8px;max-width:1120px}
.as-controls{flex:1 1 300px;min-width:0!important;max-width:760px;overflow:visible;display:grid!important;grid-template-columns:repeat(auto-fit,minmax(250px,1fr));gap:2px 20px;align-items:start}
.as-controls>.as-tasks,.as-controls>button{grid-column:1/-1;justify-self:start}
.as-controls .as-control{overflow:hidden}
.as-result-side{flex:3 1 500px;max-width:760px;height:auto!important}
.as-result-side .widget-html-content{line-height:1.5}
.as-panel .widget-label,.as-ask .widget-label{min-width:0;white-space:normal}
.as-panel .noUi-handle{width:26px!important;height:26px!important;top:-11px!important;border-radius:13px!important}
.as-panel .widget-slider{padding:0 14px}
.as-reading{line-height:1.5;margin:6px 0 10px;min-height:4.5em}
.as-result-side>.widget-html{width:100%;height:auto}
.as-limit{border-left:5px solid #7d8894;padding:4px 10px;margin:6px 0}
.as-limit.beyond{border-left-color:#c62f00;font-weight:600}
.as-outcome,.as-said{border-left:5px solid #7d8894;padding:4px 10px;margin:6px 0;line-height:1.5}
.as-figure{margin:8px 0}.as-figure img{max-width:100%;height:auto;background:#fff}
.as-note{margin:4px 0}
.as-ask .widget-radio-box label{display:flex!important;flex-direction:row-reverse;justify-content:flex-end;white-space:normal;height:auto;line-height:1.4;padding:7px 0;align-items:flex-start}
.as-ask .widget-radio-box{height:auto;margin-bottom:6px}
.as-ask .widget-radio{width:100%;height:auto}
.as-ask p,.as-ask label,.as-ask input{font-size:16px!important;line-height:1.5}
.as-ask .widget-label{font-size:16px!important;height:auto;line-height:1.4}
.as-panel .widget-label,.as-panel select,.as-panel input{font-size:15px!important}
.as-panel select,.as-panel input,.as-ask input[type=text]{height:40px!important;box-sizing:border-box}
.as-panel .widget-dropdown,.as-panel .widget-text,.as-ask .widget-text{height:42px!important}
.as-copy{margin-top:8px!important}
.as-panel .widget-dropdown{padding-right:2px}
.as-ask input[type=radio]{width:22px;height:22px;margin-right:10px;flex:none}
.as-reading,.as-limit,.as-said{font-size:16px}
.as-count{border-top:1px solid #7d8894;padding-top:14px!important;margin-top:18px!important}
.as-tasks{line-height:1.4}.as-tasks p{margin:0;font-size:15px}.as-tasks ul{margin:2px 0 8px;padding-left:0;list-style:none}
.as-tasks li{padding-left:26px;text-indent:-26px;margin:3px 0;font-size:15px}
.as-mark{display:inline-block;width:22px;text-indent:0;font-weight:700}
.as-small{margin:2px 0;font-size:14px;line-height:1.4}
.as-table{font-size:15px;border-collapse:collapse}.as-table th,.as-table td{padding:3px 10px;text-align:left!important}
.as-step{margin:2px 0;line-height:1.4}
.as-ask .widget-hbox>button{flex:none}
.as-ask .widget-checkbox label,.as-control .widget-checkbox label{white-space:normal;line-height:1.4;align-items:flex-start;padding:7px 0;font-size:16px}
.as-ask .widget-checkbox,.as-control .widget-checkbox{height:auto;width:100%}
.as-ask input[type=checkbox],.as-control input[type=checkbox]{width:22px;height:22px;margin-right:10px;flex:none}
.as-ask .widget-text{max-width:min(420px,calc(100% - 6px))!important}
.as-ask select{font-size:16px!important;height:40px!important}
.as-ask .widget-dropdown{height:42px!important}
.as-ask .widget-checkbox label.widget-label-basic,.as-control .widget-checkbox label.widget-label-basic{display:flex!important}
.as-controls .as-tasks{padding-right:8px}
.as-controls button.jupyter-button,.as-result-side button.jupyter-button{height:40px;line-height:1.2}
.as-ask button,.as-panel button{min-height:40px;font-size:15px}
.as-picture>.widget-html-content{width:100%;min-width:0;overflow-x:auto}
@media(max-width:600px){.as-picture .as-middle,.jp-RenderedHTMLCommon>.as-figure .as-middle{scroll-initial-target:nearest;scroll-snap-align:center}}
.jp-RenderedHTMLCommon>.as-figure{overflow-x:auto}.as-panel .as-figure svg,.jp-RenderedHTMLCommon>.as-figure :is(svg,img){min-width:670px}
"""


def style_html():
    """The style sheet as an HTML element; putting it out twice does no harm."""
    return f"<style>{STYLE}</style>"


PAPER = """
body{font:11pt/1.4 Georgia,'DejaVu Serif',serif;max-width:46em;margin:2em auto;padding:0 1em;color:#1b2126;background:#fff}
h1,h2,h3,th{font-family:system-ui,'DejaVu Sans',sans-serif;line-height:1.25}h2,h3{break-after:avoid}
figure,table,ul.plain{break-inside:avoid}figure{margin:1em 0}svg,img{max-width:100%;height:auto;max-height:17cm}
table{border-collapse:collapse}th,td{text-align:left;padding:3px 12px 3px 0;vertical-align:top;border-bottom:1px solid #b9c0c7}
table.wide{width:100%}table.wide td{width:45%;height:2em}ul.plain{list-style:none;padding-left:0}ul.plain li{margin:.3em 0}
.as-limit,.as-said,blockquote{border-left:4px solid #5b6670;padding-left:10px;margin-left:0}summary{display:none}
@page{margin:15mm}.anchor-link{display:none}p,ol,ul{orphans:3;widows:3}
.as-result{display:grid;grid-template-columns:minmax(0,1fr) minmax(0,1fr);gap:4px 24px;align-items:start;font-size:10pt;margin:.6em 0}
.as-result>table,.as-result>ol{margin:0}.as-result tr,.as-result li{break-inside:avoid}.as-result>table{break-inside:auto}.as-result>p,.as-result>details{grid-column:1/-1;margin:2px 0}
.as-result ol{padding-left:1.6em}@media(max-width:640px){.as-result{display:block}}
p:has(+ul.plain),p:has(+p+ul.plain){break-after:avoid}
@media print{svg,img{max-height:12cm}details{display:none}}
"""


def paper_html(title, body):
    """A page of its own to read or print, in a light look, with nothing from outside."""
    return (
        "<!doctype html><html lang='en'><head><meta charset='utf-8'>"
        "<meta name='viewport' content='width=device-width'>"
        f"<title>{escape(title)}</title><style>{PAPER}</style></head>"
        f"<body><h1>{escape(title)}</h1>{body}</body></html>"
    )


class Shown:
    """HTML as a cell's last value, with the same in plain text."""

    def __init__(self, html, text):
        self._html, self._text = html, text

    def _repr_html_(self):
        return self._html

    def __repr__(self):
        return self._text


def show_picture(picture, rows=()):
    """A still picture of aerialstream.charts as a cell's last value, with its numbers below."""
    html = (
        figure_html(picture, rows)
        if rows
        else f"<figure class='as-figure'>{picture.svg()}</figure>"
    )
    return Shown(f"{html}{style_html()}", picture.label)


def show_figure(drawn):
    """A static figure as HTML with its description; JupyterLab drops that of image outputs.

    Takes
      drawn   what a function of aerialstream.figures gives: .figure (matplotlib) and .alt
    """
    if hasattr(drawn.figure, "svg"):
        return show_picture(drawn.figure)
    buffer = io.BytesIO()
    drawn.figure.savefig(buffer, format="png", dpi=110)
    data = base64.b64encode(buffer.getvalue()).decode()
    return Shown(
        f"<figure class='as-figure'><img alt='{escape(drawn.alt, quote=True)}' "
        f"src='data:image/png;base64,{data}'><details><summary>In words</summary>"
        f"<p>{escape(drawn.alt)}</p></details></figure>{style_html()}",
        drawn.alt,
    )
