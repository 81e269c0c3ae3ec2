"""From where a request comes: the address, and the device in words that a person recognises."""

from django.http import HttpRequest

__all__ = ["address_of", "device_of"]

#: The first that is found names it; who names several puts the rarer first.
_BROWSERS = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser", "Samsung browser"),
    ("Firefox", "Firefox"),
    ("FxiOS", "Firefox"),
    ("CriOS", "Chrome"),
    ("Chrome", "Chrome"),
    ("Safari", "Safari"),
)
_DEVICES = (
    ("iPad", "iPad"),
    ("iPhone", "iPhone"),
    ("Android", "Android"),
    ("CrOS", "Chromebook"),
    ("Windows", "Windows"),
    ("Macintosh", "Mac"),
    ("Linux", "Linux"),
)


def device_of(request: HttpRequest) -> str:
    """Browser and device in words, such as Safari on iPad; what the browser says of itself."""
    says = request.headers.get("User-Agent", "")
    browser = next((name for sign, name in _BROWSERS if sign in says), "")
    device = next((name for sign, name in _DEVICES if sign in says), "")
    if browser and device:
        return f"{browser} on {device}"
    return browser or device or "an unknown browser"


def address_of(request: HttpRequest) -> str:
    """The network address that the server sees."""
    return str(request.META.get("REMOTE_ADDR") or "")[:64]
