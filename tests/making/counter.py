"""A browser without a screen: the counter's pages as a test asks for them, with all that a real form carries."""

import re

from estimator.counter.app import create_app

HOST = "localhost"
TOKEN = re.compile(r'name="token" value="([0-9a-f]+)"')
KEY = re.compile(r'name="key" value="([^"]+)"')


class Visitor:
    """One browser at a counter."""

    def __init__(self, app):
        self.app, self.browser = app, app.test_client()

    def get(self, path, **headers):
        return self.browser.get(path, headers={"Host": HOST, **headers}, buffered=True)

    def page(self, path):
        """The text of a page that is there."""
        answer = self.get(path)
        assert answer.status_code == 200, (path, answer.status_code)
        return answer.get_data(as_text=True)

    def send(self, path, shown="/", headers=None, **fields):
        """Sends a form with the token, and the key if there is one, of the page on which it is shown."""
        text = self.get(shown).get_data(as_text=True)
        sent = {"token": TOKEN.search(text)[1]}
        if key := KEY.search(text):
            sent["key"] = key[1]
        sent |= fields
        return self.browser.post(
            path,
            data=sent,
            headers={"Host": HOST, "Origin": f"http://{HOST}", **(headers or {})},
            buffered=True,
        )


def client(folder, **given):
    """A visitor at the counter of a folder."""
    return Visitor(create_app(folder, **given))
