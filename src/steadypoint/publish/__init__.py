"""Pages, handouts and pictures: files that need nothing outside themselves."""

from steadypoint.publish._atomic import make_folder, write_atomic
from steadypoint.publish._fonts import drawing_font_css, font_css, font_files, font_folders
from steadypoint.publish._movie import check_movie, write_movie
from steadypoint.publish._page import BRAND, Entry, Page, page_html, write_page
from steadypoint.publish._pdf import (
    compile_typst,
    printable_svg,
    typst_string,
    typst_text,
    write_pdf,
)
from steadypoint.publish._picture import scene_pdf, scene_png, scene_svg, svg_png
from steadypoint.publish._tokens import THEMES, style_text, theme_colours, tokens_css

__all__ = [
    "BRAND",
    "THEMES",
    "Entry",
    "Page",
    "check_movie",
    "compile_typst",
    "drawing_font_css",
    "font_css",
    "font_files",
    "font_folders",
    "make_folder",
    "page_html",
    "printable_svg",
    "scene_pdf",
    "scene_png",
    "scene_svg",
    "style_text",
    "svg_png",
    "theme_colours",
    "tokens_css",
    "typst_string",
    "typst_text",
    "write_atomic",
    "write_movie",
    "write_page",
    "write_pdf",
]
