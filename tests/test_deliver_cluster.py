"""The same command on a `dask.distributed` cluster: a scheduler and workers in processes of their own."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner

from arsis.cli.main import main

from .no_pdf import hide_pdf, plain_environment
from .test_deliver import DATE, deliver, digests, made, made_release

pytest.importorskip("distributed")

CLUSTER = """
import sys
from distributed import LocalCluster
if __name__ == "__main__":
    with LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None) as cluster:
        print(cluster.scheduler_address, flush=True)
        sys.stdin.read()
"""


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A release; nobody writes to it."""
    return made_release(tmp_path_factory.mktemp("release") / "nocturnes")


@pytest.fixture(autouse=True)
def _plain(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    hide_pdf(monkeypatch, tmp_path)


@pytest.fixture(scope="module")
def scheduler(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Its address. The cluster ends when its standard input does."""
    folder = tmp_path_factory.mktemp("cluster")
    script = folder / "cluster.py"
    script.write_text(CLUSTER, encoding="utf-8")
    process = subprocess.Popen(
        [sys.executable, str(script)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        cwd=folder,
        env=plain_environment(folder),
        start_new_session=True,
    )
    assert process.stdin is not None
    assert process.stdout is not None
    try:
        address = process.stdout.readline().strip()
        assert re.fullmatch(r"tcp://[0-9.]+:[0-9]+", address)
        yield address
        process.stdin.close()
        process.wait(30)
    finally:
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait()
        process.stdout.close()


def on_cluster(address: str, *words: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "arsis", "deliver", *map(str, words), "--date", DATE]
    return subprocess.run(
        [*command, "--scheduler", address],
        capture_output=True,
        text=True,
        env=plain_environment(Path(str(words[0])).parent),
        check=False,
        timeout=120,
    )


def said(stderr: str) -> list[str]:
    """By arsis itself; the cluster's library may have words of its own, about a slow machine for one."""
    return [line for line in stderr.splitlines() if line.startswith(("arsis: ", "warning: "))]


def test_releases_over_a_cluster_have_the_same_bytes(
    scheduler: str,
    whole: Path,
    tmp_path: Path,
) -> None:
    for name in ("here", "one", "two"):
        shutil.copytree(whole, tmp_path / name / "nocturnes")
    expected = digests(made(tmp_path / "here" / "nocturnes", "hires"))
    releases = [tmp_path / name / "nocturnes" for name in ("one", "two")]
    ended = on_cluster(scheduler, *releases, "--profile", "hires")
    assert ended.returncode == 0, ended.stderr
    assert len(said(ended.stderr)) == 2, ended.stderr
    assert all("pip install 'arsis[pdf]'" in line for line in said(ended.stderr))
    for release in releases:
        assert digests(release / "deliveries/hires") == expected


def test_a_fault_on_a_worker_is_the_same_message(
    scheduler: str,
    whole: Path,
    tmp_path: Path,
) -> None:
    """The version's mix is another song: it cannot follow, which is found where it is rendered."""
    for name in ("here", "there"):
        release = tmp_path / name / "nocturnes"
        shutil.copytree(whole, release)
        shutil.copy(release / "mixes/milk-round.wav", release / "mixes/small-hours-instrumental.wav")
    here = deliver(tmp_path / "here/nocturnes", "--profile", "hires")
    there = on_cluster(scheduler, tmp_path / "there/nocturnes", "--profile", "hires")
    assert here.exit_code == there.returncode == 2
    [told] = said(here.stderr)
    assert "cannot follow" in told
    assert said(there.stderr) == [told.replace("/here/", "/there/")]


def test_a_scheduler_that_is_not_there(whole: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("arsis.deliver.executor_cluster._PATIENCE_S", 0.3)
    command = ["deliver", str(whole), "--profile", "hires", "--scheduler", "tcp://127.0.0.1:1"]
    result = CliRunner().invoke(main, command)
    assert result.exit_code == 2
    assert "--scheduler tcp://127.0.0.1:1: does not answer" in result.stderr
    assert not (whole / "deliveries").exists()


def test_without_the_extra_the_message_names_it(
    whole: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for name in [name for name in sys.modules if name == "distributed" or name.startswith("distributed.")]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, "distributed", None)
    command = ["deliver", str(whole), "--profile", "hires", "--scheduler", "tcp://127.0.0.1:1"]
    result = CliRunner().invoke(main, command)
    assert result.exit_code == 2
    assert "pip install 'arsis[cluster]'" in result.stderr
