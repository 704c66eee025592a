from restorations.faults.models.go_ahead import GoAhead
from restorations.faults.models.sheet import FaultSheet
from restorations.faults.models.snapshot import ExpandedModel, Snapshot
from restorations.faults.models.step import Step

__all__ = ["ExpandedModel", "FaultSheet", "GoAhead", "Snapshot", "Step"]
