from bs4 import BeautifulSoup


def errors_of(content: bytes) -> str:
    """Every message at a field of the page, with plain spaces."""
    soup = BeautifulSoup(content, "html.parser")
    found = [item.get_text(" ", strip=True) for item in soup.select(".errorlist li")]
    return " | ".join(found).replace("\xa0", " ")
