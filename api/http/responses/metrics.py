"""What went through the service, counted for Prometheus: requests, their times, cached responses, reloads.

Owns: names, help texts and labels of the metrics. Does not own: counting, the sum over workers and the text format
(prometheus-client).
Workers count together through files in the folder that `PROMETHEUS_MULTIPROC_DIR` names when this module is imported.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping
from typing import TypeAlias

from prometheus_client import CollectorRegistry, Counter, Histogram, disable_created_metrics, generate_latest
from prometheus_client.core import GaugeMetricFamily, Metric
from prometheus_client.exposition import CONTENT_TYPE_PLAIN_0_0_4 as MEDIA_TYPE
from prometheus_client.multiprocess import MultiProcessCollector
from prometheus_client.registry import Collector

__all__ = ["MEDIA_TYPE", "SHARED_FOLDER_VARIABLE", "Metrics"]

SHARED_FOLDER_VARIABLE = "PROMETHEUS_MULTIPROC_DIR"
BOUNDS_S = (0.0005, 0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0)
NO_ROUTE = "none"
KNOWN_METHODS = frozenset({"GET", "HEAD", "POST", "OPTIONS", "PUT", "PATCH", "DELETE"})
_Instruments: TypeAlias = tuple[Callable[[], None], Callable[[float], None], Callable[[], None]]
disable_created_metrics()  # type: ignore[no-untyped-call]


class Metrics:
    """Counts requests. Names of addresses are templates, so there are few of them.

    Attributes:
        connections: connections that this process holds open.

    >>> metrics = Metrics()
    >>> metrics.note("GET", "/v1/pair", 200, 0.0007, True)
    >>> 'wetted_cached_responses_total{route="/v1/pair"} 1.0' in metrics.text({}, {}).decode().splitlines()
    True
    """

    def __init__(self) -> None:
        self._registry = CollectorRegistry()
        own: CollectorRegistry | None = self._registry
        if SHARED_FOLDER_VARIABLE in os.environ:
            MultiProcessCollector(self._registry)  # type: ignore[no-untyped-call]
            own = None  # the files of all workers are read instead
        self._requests = Counter("wetted_requests", "Requests answered.", ["method", "route", "status"], registry=own)
        self._seconds = Histogram(
            "wetted_request_seconds",
            "Time from a request's head to the end of its answer.",
            ["route"],
            buckets=BOUNDS_S,
            registry=own,
        )
        self._cached = Counter("wetted_cached_responses", "Answers that were cached.", ["route"], registry=own)
        self._refused = Counter(
            "wetted_refused_connections",
            "Connections refused before they became a request.",
            ["problem"],
            registry=own,
        )
        self.reloads = Counter("wetted_reloads", "New tables that took over.", registry=own)
        self.refused_reloads = Counter("wetted_refused_reloads", "New tables that were refused.", registry=own)
        self._of_requests: dict[tuple[str, str, int], _Instruments] = {}
        self.connections = 0

    def __reduce__(self) -> tuple[type[Metrics], tuple[()]]:
        """Let every worker process count for itself."""
        return Metrics, ()

    def note(self, method: str, route: str, status: int, seconds: float, from_memory: bool) -> None:
        """Count an answered request.

        Args:
            method: method of the request; unknown ones count as one.
            route: path template; empty if there is none.
            status: HTTP status code of the answer.
            seconds: time from the request's head to the end of its answer [s].
            from_memory: whether the answer was cached.
        """
        key = (method, route, status)
        found = self._of_requests.get(key)
        if found is None:
            found = self._instruments(method, route or NO_ROUTE, status)
            if method in KNOWN_METHODS:
                self._of_requests[key] = found
        count, observe, count_cached = found
        count()
        observe(seconds)
        if from_memory:
            count_cached()

    def _instruments(self, method: str, route: str, status: int) -> _Instruments:
        known = method if method in KNOWN_METHODS else "other"
        count = self._requests.labels(known, route, str(int(status))).inc
        return count, self._seconds.labels(route).observe, self._cached.labels(route).inc

    def note_refusal(self, problem: str) -> None:
        """Count a connection that was refused before it became a request.

        Args:
            problem: slug of the problem.
        """
        self._refused.labels(problem).inc()

    def text(self, gauges: Mapping[str, tuple[str, float]], info: Mapping[str, str]) -> bytes:
        """Return the counts of all workers together and the state of this process, as Prometheus reads them.

        Args:
            gauges: name -> help text and present value.
            info: names and versions of what answers.

        Source: Prometheus, "Exposition formats", text-based format.
        """
        own = CollectorRegistry()
        families = [GaugeMetricFamily(name, text, value) for name, (text, value) in gauges.items()]
        answering = GaugeMetricFamily("wetted_info", "What answers.", labels=list(info))
        answering.add_metric(list(info.values()), 1)
        own.register(_Families([*families, answering]))
        return generate_latest(self._registry) + generate_latest(own)


class _Families(Collector):
    def __init__(self, families: Iterable[Metric]) -> None:
        self._families = families

    def collect(self) -> Iterable[Metric]:
        return self._families
