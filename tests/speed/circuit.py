"""The fit of a circuit over charge to 360,000 readings, and the same fit by scipy.optimize."""

import json
import os
import subprocess
import sys
from pathlib import Path

# python3-scipy cannot be installed beside the newer Boost, so it is unpacked.
PACKAGES = (
    *("python3-scipy", "python3-numpy", "python3-decorator", "python3-pkg-resources"),
    *("liblbfgsb0", "libblas3", "liblapack3", "libgfortran5", "libquadmath0", "libpython3.11"),
)


def unpacked(folder):
    """Where scipy is, as the environment of a program that imports it; fetched once."""
    root = folder / "root"
    if not root.exists():
        folder.mkdir(exist_ok=True)
        subprocess.run(["apt-get", "download", *PACKAGES], cwd=folder, check=True, **QUIET)
        for package in sorted(folder.glob("*.deb")):
            subprocess.run(["dpkg-deb", "-x", package, root], check=True)
    libraries = root / "usr/lib" / "x86_64-linux-gnu"
    return {
        **os.environ,
        "PYTHONPATH": str(root / "usr/lib/python3/dist-packages"),
        "LD_LIBRARY_PATH": ":".join(map(str, (libraries, libraries / "blas", libraries / "lapack"))),
        "OPENBLAS_NUM_THREADS": "1",
    }


QUIET = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}


def fitted_here(build, record, found):
    """The record and what was found are left for others."""
    program = build / "tests/speed/speed_circuit"
    found.write_bytes(subprocess.run([program, record], check=True, capture_output=True).stdout)
    return json.loads(found.read_text())


def circuit_fit(build, folder):
    """The quickest of three here; one there, since it takes minutes."""
    record, found = folder / "record.bin", folder / "found.json"
    ours = [fitted_here(build, record, found) for _ in range(3)]
    ours = min(ours, key=lambda run: run["seconds"])
    other = [sys.executable, "-B", Path(__file__), record, found]
    environment = unpacked(build / "scipy")
    ended = subprocess.run(other, env=environment, check=True, capture_output=True)
    theirs = json.loads(ended.stdout)
    apart = max(
        abs(one / other - 1)
        for name in ("taus_s", "ohms", "source_v")
        for one, other in zip(flat(ours[name]), flat(theirs[name]))
    )
    print(f"  here  {ours['seconds']:6.2f} s, branches counted and errors included")
    print(f"  scipy {theirs['seconds']:6.2f} s, {theirs['evaluations']} steps, branches given")
    print(f"  {theirs['seconds'] / ours['seconds']:.0f} times; values agree to {apart:.1e}")


def flat(values):
    for value in values:
        if isinstance(value, list):
            yield from flat(value)
        else:
            yield value


def by_scipy(record, found):
    """The same model, knots and bounds; derivatives by hand, as they are here."""
    import time

    import numpy
    from scipy.optimize import least_squares
    from scipy.signal import lfilter

    time_s, current, voltage = numpy.fromfile(record).reshape(-1, 3).T
    every = time_s[1] - time_s[0]
    removed = numpy.cumsum(current) * every / 3600 - current[0] * every / 3600

    def hats(knots):
        at = numpy.clip(removed, knots[0], knots[-1])
        return numpy.stack([numpy.interp(at, knots, row) for row in numpy.eye(len(knots))], axis=1)

    source, ohm = hats(found["source_ah"]), hats(found["resistance_ah"])
    branches, knots = len(found["taus_s"]), ohm.shape[1]
    first_ohm = source.shape[1]
    first_tau = first_ohm + (branches + 1) * knots

    def seen(tau):
        """The current as a branch sees it, and its derivative by ln(tau)."""
        keep = numpy.exp(-every / tau)
        driven = current.copy()
        driven[0] = 0.0
        past = lfilter([1 - keep], [1, -keep], driven)
        before = numpy.concatenate([[0.0], past[:-1]])
        change = (before - driven) * keep * every / tau
        change[0] = 0.0
        return past, lfilter([1], [1, -keep], change)

    def parts(theta):
        ohms = [ohm @ theta[first_ohm + k * knots :][:knots] for k in range(branches + 1)]
        return ohms, [seen(numpy.exp(theta[first_tau + k])) for k in range(branches)]

    def residual(theta):
        ohms, pasts = parts(theta)
        model = source @ theta[:first_ohm] - ohms[0] * current
        return model - sum(r * past for r, (past, _) in zip(ohms[1:], pasts)) - voltage

    def jacobian(theta):
        ohms, pasts = parts(theta)
        columns = [source, -ohm * current[:, None]]
        columns += [-ohm * past[:, None] for past, _ in pasts]
        columns += [(-r * change)[:, None] for r, (_, change) in zip(ohms[1:], pasts)]
        return numpy.concatenate(columns, axis=1)

    low, high = numpy.log(found["range_s"])
    lower = numpy.concatenate([numpy.full(first_ohm, -numpy.inf), numpy.zeros(first_tau - first_ohm)])
    lower = numpy.concatenate([lower, numpy.full(branches, low)])
    upper = numpy.concatenate([numpy.full(first_tau, numpy.inf), numpy.full(branches, high)])
    spread = low + (high - low) * (numpy.arange(branches) + 0.5) / branches
    begin = time.perf_counter()
    # At given time constants all else is linear: a start that no bound has caught.
    empty = numpy.concatenate([numpy.zeros(first_tau), spread])
    linear, *_ = numpy.linalg.lstsq(jacobian(empty)[:, :first_tau], voltage, rcond=None)
    linear[first_ohm:] = numpy.maximum(linear[first_ohm:], 1e-4)
    start = numpy.concatenate([linear, spread])
    fit = least_squares(
        residual, start, jacobian, (lower, upper), x_scale="jac", xtol=1e-10, ftol=1e-10, gtol=1e-10
    )
    seconds = time.perf_counter() - begin
    order = numpy.argsort(fit.x[first_tau:])
    ohms = fit.x[first_ohm:first_tau].reshape(branches + 1, knots)
    ohms = [ohms[0], *ohms[1:][order]]
    return {
        **{"seconds": seconds, "evaluations": int(fit.nfev)},
        "taus_s": numpy.exp(fit.x[first_tau:][order]).tolist(),
        "ohms": [row.tolist() for row in ohms],
        "source_v": fit.x[:first_ohm].tolist(),
    }


if __name__ == "__main__":
    record_file, found_file = sys.argv[1:]
    json.dump(by_scipy(record_file, json.loads(Path(found_file).read_text())), sys.stdout)
