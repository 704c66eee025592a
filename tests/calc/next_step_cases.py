"""Small engines and options the tests of the next step share, each checked on paper."""

from typing import Any

from restorations.calc.diagnosis import CausalModel, Observed, Options, Part, Remedy

SEEN = [Observed("stiff", 1)]


def one_fault(**chances: float) -> CausalModel:
    """Exactly one cause, but for a hundred-millionth: priors tiny and in the ratio asked; all show for certain."""
    priors = {cause: 1e-8 * share for cause, share in chances.items()}
    return CausalModel.from_mapping(
        {"causes": priors, "findings": {"stiff": {"leak": [0.0], "links": {cause: [1.0] for cause in priors}}}}
    )


def options(*remedies: Remedy, **changes: Any) -> Options:
    """Remedies alone, no parts, a free test and a hand over nobody wants; change what matters."""
    plain: dict[str, Any] = {
        "looks": (),
        "examinations": (),
        "remedies": remedies,
        "parts": {},
        "off": frozenset(),
        "complaint": ("stiff",),
        "test_minutes": 0.0,
        "price_per_risk": 0.0,
        "price_per_day": 0.0,
        "hand_over_minutes": 10_000.0,
    }
    return Options(**(plain | changes))


def cure(cause: str, minutes: float, success: float = 1.0, **changes: Any) -> Remedy:
    """A remedy of one cause, named after it."""
    return Remedy(f"cure {cause}", frozenset({cause}), success, minutes, **changes)


def off(*parts: str) -> frozenset[str]:
    """Names of parts."""
    return frozenset(parts)


RODS = {"left rod": Part(10.0, 12.0), "right rod": Part(7.0, 9.0)}

STIFF = CausalModel.from_mapping(
    {
        "causes": {"left": 0.2, "right": 0.2, "box": 0.05},
        "findings": {
            "stiff": {"leak": [0.02, 0.005], "links": {"left": [0.8, 0.4], "right": [0.8, 0.4], "box": [0.7, 0.1]}},
            "hot": {"leak": [0.03], "links": {"box": [0.6], "left": [0.1]}},
        },
    }
)
