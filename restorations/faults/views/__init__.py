"""Views of the fault sheet, by what a person does there."""
