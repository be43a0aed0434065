"""The supply voltage over what it should be at this site."""

from __future__ import annotations

from engine.findings.readings import Readings, Weights


def weights(read: Readings) -> Weights | None:
    """The ratio in its bands, over the usual sites where the nominal voltage is not known; None without a reading."""
    if not read.have("supply_voltage"):
        return None
    volts, error = read.of("supply_voltage")
    nominal = (
        {read.of("nominal_voltage")[0]: 1.0}
        if read.have("nominal_voltage")
        else dict(read.finding.assume["nominal_voltage"].points)
    )
    parts = [(share, read.in_bands(volts / site, error / site)) for site, share in nominal.items() if site > 0]
    return tuple(sum(share * shares[k] for share, shares in parts) for k in range(len(read.finding.answers)))
