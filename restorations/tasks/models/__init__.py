from restorations.tasks.models.parts import ENDINGS, StrippedPart
from restorations.tasks.models.soaks import Soak

__all__ = ["ENDINGS", "Soak", "StrippedPart"]
