"""Counts as text that Prometheus reads (text exposition format 0.0.4).

Owns: names, help texts and form of the metrics. Does not own: counting (`api/http/responses/metrics.py`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from api.http.responses.metrics import BOUNDS_S, Counts

MEDIA_TYPE = "text/plain; version=0.0.4; charset=utf-8"

Sample = tuple[Mapping[str, str], float]


def metrics_text(counts: Counts, gauges: Mapping[str, tuple[str, float]], info: Mapping[str, str]) -> str:
    """Return metrics as text.

    Args:
        counts: what was counted.
        gauges: name -> help text and present value.
        info: names and versions of what answers.

    Source: Prometheus, "Exposition formats", text-based format.

    >>> from collections import Counter
    >>> print(metrics_text(Counter({("memory", "/v1/pair"): 2}), {}, {"kb_version": "1"}).splitlines()[-1])
    wetted_info{kb_version="1"} 1
    """
    lines = [
        *_counter("wetted_requests_total", "Requests answered.", _labelled(counts, "requests", "method route status")),
        *_histogram(counts),
        *_counter("wetted_ready_answers_total", "Answers that came from memory.", _labelled(counts, "memory", "route")),
        *_counter(
            "wetted_refused_connections_total",
            "Connections refused before they became a request.",
            _labelled(counts, "refused", "problem"),
        ),
        *_counter("wetted_reloads_total", "New tables that took over.", [({}, counts["reloads",])]),
        *_counter("wetted_refused_reloads_total", "New tables that were refused.", [({}, counts["refused-reloads",])]),
    ]
    for name, (text, value) in gauges.items():
        lines += _metric(name, text, "gauge", [({}, value)])
    lines += _metric("wetted_info", "What answers.", "gauge", [(info, 1)])
    return "".join(f"{line}\n" for line in lines)


def _labelled(counts: Counts, kind: str, names: str) -> list[Sample]:
    return [
        (dict(zip(names.split(), key[1:], strict=True)), value)
        for key, value in sorted(counts.items())
        if key[0] == kind
    ]


def _counter(name: str, text: str, samples: Iterable[Sample]) -> Iterator[str]:
    return _metric(name, text, "counter", samples)


def _metric(name: str, text: str, kind: str, samples: Iterable[Sample]) -> Iterator[str]:
    yield f"# HELP {name} {text}"
    yield f"# TYPE {name} {kind}"
    for labels, value in samples:
        yield f"{name}{_in_braces(labels)} {value:.10g}"


def _histogram(counts: Counts) -> Iterator[str]:
    name = "wetted_request_seconds"
    samples: list[tuple[str, Mapping[str, str], float]] = []
    for route in sorted({key[1] for key in counts if key[0] == "times"}):
        upto = 0
        for place, bound in enumerate((*map(str, BOUNDS_S), "+Inf")):
            upto += counts["times", route, str(place)]
            samples.append(("_bucket", {"route": route, "le": bound}, upto))
        samples.append(("_sum", {"route": route}, counts["seconds", route]))
        samples.append(("_count", {"route": route}, upto))
    yield f"# HELP {name} Time from a request's head to the end of its answer."
    yield f"# TYPE {name} histogram"
    for suffix, labels, value in samples:
        yield f"{name}{suffix}{_in_braces(labels)} {value:.10g}"


def _in_braces(labels: Mapping[str, str]) -> str:
    if not labels:
        return ""
    return "{" + ",".join(f'{name}="{_escaped(value)}"' for name, value in labels.items()) + "}"


def _escaped(text: str) -> str:
    return text.replace("\\", "\\\\").replace("\n", "\\n").replace('"', '\\"')
