"""A study on a real scheduler with three worker processes, one of which is killed on the way."""

from __future__ import annotations

import os
import signal
import sys
from pathlib import Path

import numpy as np
import pytest

from sim.cli.main import run
from sim.errors import SimError
from sim.flight.cluster import ClusterCrew, crew_at, fly_on_worker, own_build
from sim.flight.identity import StudyIdentity
from sim.flight.plan import OneCraftPlan, Part, fly_part
from sim.flight.study import Study, study_in
from sim.pack.flight import plain_flight

FLIGHTS = 240
PART = 8

# What a later interpreter says of the cluster's own library is not ours to mend.
pytestmark = pytest.mark.filterwarnings("default::DeprecationWarning")

distributed = pytest.importorskip(
    "distributed", reason="no Dask here: pip install 'gustworthy[cluster]'"
)


@pytest.fixture(scope="module")
def plan(bare, hover):
    flight = plain_flight(bare.air, duration_s=0.5)
    flight["noise_factor"] = 1.0
    flight["seed"] = 8
    return OneCraftPlan("calm", bare.records, flight, hover)


@pytest.fixture(scope="module")
def cluster(repository):
    """Give a scheduler on this machine with three processes that fly."""
    before = os.environ.get("PYTHONPATH")
    os.environ["PYTHONPATH"] = os.pathsep.join(filter(None, (str(repository), before)))
    try:
        with distributed.LocalCluster(
            n_workers=3, threads_per_worker=1, processes=True, dashboard_address="127.0.0.1:0"
        ) as cluster:
            yield cluster
    finally:
        if before is None:
            del os.environ["PYTHONPATH"]
        else:
            os.environ["PYTHONPATH"] = before


@pytest.mark.skipif(sys.platform == "win32", reason="needs SIGKILL")
def test_a_killed_worker_changes_no_bit(plan, cluster, tmp_path):
    """The rows are those of this machine alone, and nothing is missing or there twice."""
    local = np.concatenate(list(Study().rows(plan, FLIGHTS)))
    with crew_at(cluster.scheduler_address) as crew:
        assert isinstance(crew, ClusterCrew)
        pids = crew.client.run(os.getpid)
        assert len(set(pids.values()) | {os.getpid()}) == 4
        victim = next(iter(pids.values()))
        told = []

        def ended(flights):
            told.append(flights)
            if len(told) == 4:
                os.kill(victim, signal.SIGKILL)

        identity = StudyIdentity({"of": "this test"})
        with study_in(tmp_path, identity, FLIGHTS, crew, part_flights=PART) as study:
            rows = np.concatenate(list(study.rows(plan, FLIGHTS, ended)))
        assert victim not in crew.client.run(os.getpid).values()
    assert rows.tobytes() == local.tobytes()
    assert sum(told) == FLIGHTS
    files = sorted(Path(tmp_path).glob("rows/calm/*.parquet"))
    assert len(files) == FLIGHTS // PART


def test_the_command_prints_the_same_with_a_cluster(cluster, repository, tmp_path, capsys):
    """Twenty flights of a tenth of a second each, on workers and on this machine."""
    scenario = tmp_path / "short.yaml"
    scenario.write_text("name: Short\nduration: 0.1 s\nwind: {mean: 2 m/s}\n")
    craft = repository / "airframes" / "bare_bicopter.yaml"
    command = ["fly", str(craft), "--scenario", str(scenario), "--flights", "20"]
    status = run([*command, "--format", "json"])
    here = capsys.readouterr().out
    address = cluster.scheduler_address
    assert run([*command, "--cluster", address, "--format", "json"]) == status
    assert capsys.readouterr().out == here


def test_a_worker_with_other_versions_refuses(plan):
    """It says what differs, rather than give other bits."""
    assert fly_on_worker(plan, Part(0, 1), own_build()).tobytes() == (
        fly_part(plan, Part(0, 1)).tobytes()
    )
    with pytest.raises(SimError, match=r"numpy: 1\.0 at the study, \d"):
        fly_on_worker(plan, Part(0, 1), {**own_build(), "numpy": "1.0"})


def test_without_an_address_this_machine_flies():
    with crew_at(None) as crew:
        assert not isinstance(crew, ClusterCrew)


def test_an_address_where_nobody_listens(monkeypatch):
    monkeypatch.setattr("sim.flight.cluster.CONNECT_S", 1)
    with pytest.raises(SimError, match="no scheduler answers"), crew_at("tcp://127.0.0.1:9"):
        pass
