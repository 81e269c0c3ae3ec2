"""Sources, cylinders, readings and changes of cylinder."""

__all__: list[str] = []
