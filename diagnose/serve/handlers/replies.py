"""Answers to requests: a page, a way on, a few words for the script of a page."""

from __future__ import annotations

from aiohttp import hdrs, web
from yarl import URL

from diagnose.serve.page import Page, html


def wants_data(request: web.Request) -> bool:
    """Whether the script of a page asks, which is told in data where to go."""
    return request.headers.get(hdrs.ACCEPT, "") == "application/json"


def leads(request: web.Request, path: str, wrong: str = "") -> web.Response:
    """Where a form leads; the script of a page is told so, a browser without it is sent."""
    if not wants_data(request):
        return see(path)
    if wrong:
        return web.json_response({"wrong": wrong, "to": path}, status=422)
    return web.json_response({"to": path})


def see(path: str) -> web.Response:
    """See another page of this server; what could part a header is quoted."""
    return web.Response(status=303, headers={"Location": str(URL(path))})


def as_response(page: Page, form: str = "") -> web.Response:
    """A page; `form` is the mark that its forms carry."""
    return web.Response(text=html(page, form=form), status=page.status, content_type="text/html")
