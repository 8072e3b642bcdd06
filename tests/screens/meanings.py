"""No column on the report's page is explained as another: what stands under "What the columns mean" is printed once more in the
glossary, under a name of its own (src/present/quantities.c), and that name must stand in the head of each column that it explains.
Where one name means two things, each stands there with the tables that it is about.
Usage: meanings.py PAGE …"""
import html, pathlib, re, sys

TABLES = re.compile(r'<span class="in">(.*?)</span>', re.S)
ENTRY = re.compile(r"<dt>(.*?)</dt>\s*<dd>(.*?)</dd>", re.S)


def plain(text):
    """As it is read: no markup, no (+) for the side that is meant."""
    return " ".join(html.unescape(re.sub(r"<[^>]*>", "", text)).replace("(+) ", "").split())


def check_meanings(page):
    text, faults = pathlib.Path(page).read_text(), []
    named, where = {}, {}
    for name, means in ENTRY.findall(text[text.index('class="glossary"'):]):
        alone = plain(TABLES.sub("", name))
        named.setdefault(plain(means), set()).add(alone)
        where.setdefault(alone, []).append(" ".join(map(plain, TABLES.findall(name))))
    faults += [f"{page}: the glossary has '{name}' {len(tables)} times, and not for which table" for name, tables in where.items()
               if len(tables) > 1 and not all(tables)]
    explained = [(plain(head), plain(means)) for table in re.findall(r'<details class="means">.*?</details>', text, re.S)
                 for head, means in ENTRY.findall(table)]
    if len(explained) < 30:
        faults.append(f"{page}: only {len(explained)} columns are explained")
    for head, means in explained:
        if not any(name in head for name in named.get(means, ())):
            faults.append(f"the column '{head}' is explained as {sorted(named.get(means, ['nothing in the glossary']))}: {means[:60]}")
    return faults


if __name__ == "__main__":
    found = [f for page in sys.argv[1:] for f in check_meanings(page)]
    sys.exit("\n".join(found) if found else 0)
