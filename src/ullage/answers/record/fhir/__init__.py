"""A record as a collection of FHIR R5 resources, and our own checks of what the library lets by."""
