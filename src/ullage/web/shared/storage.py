"""Static files under names that change with what they hold, the modules that scripts import too."""

from servestatic.storage import CompressedManifestStaticFilesStorage

__all__ = ["HashedFiles"]


class HashedFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]  # it ships no types
    """A script and what it imports are of one version, in every cache on the way."""

    support_js_module_import_aggregation = True
