"""Lessons: one Markdown file woven with computed circuits, values and figures.

``build_lesson(path)`` writes the page and the handout. The syntax stands in ``docs/lesson.md``.
"""

from steadypoint.lesson._blocks import BLOCKS, BlockKind
from steadypoint.lesson._build import BuildResult, build_lesson, parse_lesson, read_lesson
from steadypoint.lesson._course import Course, CourseLesson, read_course
from steadypoint.lesson._course_build import CourseResult, build_course
from steadypoint.lesson._course_epub import course_epub, write_epub
from steadypoint.lesson._demo import build_demo, demo_files
from steadypoint.lesson._figures_output import figures_of
from steadypoint.lesson._handout_output import lesson_pdf
from steadypoint.lesson._outputs import BuildOptions, Output, outputs, register_output
from steadypoint.lesson._page_output import lesson_html
from steadypoint.lesson._script_output import lesson_captions, lesson_script
from steadypoint.lesson._slides_output import slides_html, slides_pdf
from steadypoint.lesson._student_output import student_page
from steadypoint.lesson._tree import Document

__all__ = [
    "BLOCKS",
    "BlockKind",
    "BuildOptions",
    "BuildResult",
    "Course",
    "CourseLesson",
    "CourseResult",
    "Document",
    "Output",
    "build_course",
    "build_demo",
    "build_lesson",
    "course_epub",
    "demo_files",
    "figures_of",
    "lesson_captions",
    "lesson_html",
    "lesson_pdf",
    "lesson_script",
    "outputs",
    "parse_lesson",
    "read_course",
    "read_lesson",
    "register_output",
    "slides_html",
    "slides_pdf",
    "student_page",
    "write_epub",
]
