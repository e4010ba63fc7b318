"""What the fuzzing of the server leaves out."""
import schemathesis


@schemathesis.hook
def filter_headers(_, headers):
    """A header with a control character is no HTTP: the transport refuses it with a bare 400, and no route hears of it."""
    return all(str(value).isprintable() for value in (headers or {}).values())
