"""Opens pages in a browser as their readers have them, and holds how they are built to a record.

    page_looks.py BROWSER RECORD AXE PAGE... [--write]

Each page is opened as wide as a phone and as a laptop, light and dark, in every unit system, and printed on A4 and
Letter; Tab goes through the parts of its circuits. No page complains or asks for anything but itself; no text of a picture stands over another or leaves its
picture; nothing is wider than its page. How many chapters, pictures, tables, limits and cautions it has stands in RECORD,
which `--write` writes anew. Nothing is held to pixels, which differ with the fonts of a machine. AXE is the script of
axe-core, which finds what people who do not see, or do not see colours, cannot use; `-` where it is not at hand.
"""

import base64
import json
import pathlib
import re
import sys
import tempfile

from browser import Browser

WIDTHS = {"phone": 390, "laptop": 1280}
# Width and height of sheets in inches (ISO 216; ANSI/ASME Y14.1), and of their edges, which the page sets to 14 mm.
SHEETS = {"A4": (210 / 25.4, 297 / 25.4), "Letter": (8.5, 11.0)}
EDGES = 2 * 14 / 25.4
# Pages of paper may differ from the record by this share, as fonts differ.
PAPER = 0.15
# Of what a reader has to see within a second, ms.
FIRST_PAINT = 1000

# How the page is built.
COUNTS = """(() => {
  const count = (of) => document.querySelectorAll(of).length;
  return {
    chapters: [...document.querySelectorAll("section.chapter")].map((chapter) => chapter.id),
    pictures: count("figure svg[role=group]"),
    bars: count(".first .limit-bar svg"),
    tables: count("table"),
    cautions: count(".cautions li"),
    cards: count("article.card"),
    folds: count("details"),
  };
})()"""

# What is wrong with how it looks: texts of pictures over one another or out of their picture, and what leaves the page.
FAULTS = """(() => {
  const faults = [];
  const seen = (element) => element.checkVisibility() && element.getClientRects().length > 0;
  const shut = [...document.querySelectorAll("details:not([open])")];
  shut.forEach((fold) => { fold.open = true; });
  document.querySelectorAll("svg").forEach((picture) => {
    if (picture.closest("svg svg") === picture || !seen(picture)) return;
    const sheet = picture.getBoundingClientRect();
    // From the line down to the tops of the letters: boxes reach farther than what is drawn in them.
    const boxes = [...picture.querySelectorAll("text")].filter(seen).map((text) => {
      const box = text.getBoundingClientRect(), high = box.height;
      return { text: text.textContent, left: box.left, right: box.right, top: box.top + 0.22 * high,
        bottom: box.bottom - 0.24 * high };
    });
    const name = picture.getAttribute("aria-label") ?? "a picture";
    boxes.forEach((box, k) => {
      if (box.left < sheet.left - 1 || box.right > sheet.right + 1 || box.top < sheet.top - 1 || box.bottom > sheet.bottom + 1)
        faults.push(`${name}: "${box.text}" leaves it`);
      boxes.slice(k + 1).forEach((other) => {
        if (box.right > other.left + 0.5 && other.right > box.left + 0.5 && box.bottom > other.top + 0.5
          && other.bottom > box.top + 0.5) faults.push(`${name}: "${box.text}" stands over "${other.text}"`);
      });
    });
  });
  const width = document.documentElement.clientWidth;
  if (document.documentElement.scrollWidth > width)
    faults.push(`the page is ${document.documentElement.scrollWidth} wide, ${width} are there`);
  // What slides sideways in a frame of its own may be wider.
  document.querySelectorAll("body *").forEach((element) => {
    if (element.closest("svg") && element.tagName !== "svg" || element.closest(".spoken") || !seen(element)) return;
    const slides = element.parentElement.closest(".sheet, .table, pre");
    if (slides && getComputedStyle(slides).overflowX !== "visible") return;
    const box = element.getBoundingClientRect();
    if (box.width > 1 && (box.right > width + 1 || box.left < -1))
      faults.push(`<${element.tagName.toLowerCase()} class="${element.getAttribute("class") ?? ""}"> of `
        + `${element.closest("section, header, footer")?.id} goes from ${box.left} to ${box.right}: `
        + element.textContent.slice(0, 60));
    const style = getComputedStyle(element);
    if (style.overflowX === "hidden" && element.scrollWidth > element.clientWidth + 1 && element.clientWidth > 1)
      faults.push(`"${element.textContent.slice(0, 60)}" is cut`);
  });
  shut.forEach((fold) => { fold.open = false; });
  return faults;
})()"""

# What someone could not use, as axe-core finds it.
UNUSABLE = """axe.run(document, { resultTypes: ["violations"]ONLY }).then(({ violations }) => violations
  .filter(({ impact }) => ["serious", "critical"].includes(impact))
  .map(({ id, impact, nodes }) => `${id} (${impact}, ${nodes.length} places): ${nodes[0].html.slice(0, 160)} `
    + (nodes[0].any[0]?.message ?? nodes[0].all[0]?.message ?? nodes[0].none[0]?.message ?? "")))"""

# It is told some time after it was.
PAINT = """new Promise((done) => {
  const look = (left) => {
    const paint = performance.getEntriesByType("paint").find(({ name }) => name === "first-contentful-paint");
    if (paint || !left) done(paint?.startTime ?? null); else setTimeout(look, 50, left - 1);
  };
  look(100);
})"""


# The parts of each circuit, by the keyboard: Tab goes from its frame to one part after the other.
PARTS = "[...document.querySelectorAll('#circuits figure')].map((figure) => figure.querySelectorAll('a.part').length)"
SHOWN = "[...document.querySelectorAll('article.card')].filter((card) => card.checkVisibility()).map((card) => card.id)"


def by_keyboard(reader):
    """Parts whose numbers Tab does not show, or Escape does not shut."""

    def press(key):
        for kind in ("keyDown", "keyUp"):
            reader.ask("Input.dispatchKeyEvent", type=kind, key=key, code=key,
                       windowsVirtualKeyCode={"Tab": 9, "Escape": 27}[key])

    faults = []
    for k, parts in enumerate(reader.run(PARTS)):
        reader.run(f"document.querySelectorAll('#circuits figure')[{k}].querySelector('.sheet').focus()")
        reached = set()
        for _ in range(parts):
            press("Tab")
            part = reader.run("document.activeElement.closest('a.part')?.getAttribute('href') ?? null")
            if part is None or reader.run(SHOWN) != [part[1:]]:
                faults.append(f"Tab in circuit {k} comes to {part} and shows {reader.run(SHOWN)}")
            reached.add(part)
        if len(reached) != parts:
            faults.append(f"Tab in circuit {k} reaches {len(reached)} of {parts} parts")
        press("Escape")
        if reader.run(SHOWN):
            faults.append(f"Escape does not shut the numbers of {part}")
    return faults


# A page that solves does so when it is seen; what it shows then is looked at too.
AWAKE = """new Promise((done) => {
  const live = document.getElementById("live");
  live?.scrollIntoView();
  const look = () => !live || ["rest", "fails", "stopped"].includes(live.dataset.state) ? done() : setTimeout(look, 50);
  look();
})"""


def sees(reader, width, scheme, media=""):
    reader.ask("Emulation.setDeviceMetricsOverride", width=width, height=900, deviceScaleFactor=1, mobile=width < 500)
    reader.ask("Emulation.setEmulatedMedia", media=media, features=[{"name": "prefers-color-scheme", "value": scheme}])


def on_screens(reader, axe):
    """What is wrong with a page on screens."""
    faults = []
    units = reader.run("[...document.querySelectorAll('input.units')].map((input) => input.id)")
    for name, width in WIDTHS.items():
        for scheme in ("light", "dark"):
            sees(reader, width, scheme)
            # Colours move nothing.
            for unit in (units or ["as it is"]) if scheme == "light" else []:
                reader.run(f"document.getElementById('{unit}')?.click()")
                faults += [f"{name}, {unit}: {fault}" for fault in reader.run(FAULTS)]
            if axe:
                reader.run("document.querySelectorAll('details').forEach((fold) => { fold.open = false; })")
                reader.run(axe)
                only = "" if scheme == "light" else ", runOnly: ['color-contrast']"
                faults += [f"{name}, {scheme}: {fault}" for fault in reader.run(UNUSABLE.replace("ONLY", only))]
        reader.run("document.querySelector('input.units')?.click()")
    return faults


def on_paper(reader):
    """What is wrong with it on paper, and how many pages it has there."""
    faults, pages = [], {}
    for name, (wide, high) in SHEETS.items():
        # As wide as what can be printed on, at 96 to the inch (CSS Values 3).
        sees(reader, round((wide - EDGES) * 96), "light", "print")
        faults += [f"{name}: {fault}" for fault in reader.run(FAULTS)]
        reader.ask("Emulation.clearDeviceMetricsOverride")
        printed = reader.ask("Page.printToPDF", paperWidth=wide, paperHeight=high, preferCSSPageSize=False,
                             printBackground=True)
        paper = base64.b64decode(printed["data"])
        pages[name] = len(re.findall(rb"/Type\s*/Page\b(?!s)", paper))
    return faults, pages


def looked_at(path, page, axe):
    """How a page is built, what is wrong with it, when it was first painted."""
    folder = pathlib.Path(tempfile.mkdtemp())
    reader = Browser(path, folder / "browser")
    sees(reader, WIDTHS["laptop"], "light")
    reader.opens(page)
    paint = reader.run(PAINT)
    built = reader.run(COUNTS)
    reader.run(AWAKE)
    faults = by_keyboard(reader) + on_screens(reader, axe)
    more, built["paper"] = on_paper(reader)
    own = pathlib.Path(page).resolve().as_uri()
    asked = [url for url in reader.requests if url != own and not url.startswith(("blob:", "about:"))]
    faults += more + [f"it asks for {url[:200]}" for url in asked] + reader.said
    if paint is None or paint > FIRST_PAINT:
        faults.append(f"first painted after {paint} ms")
    reader.ends()
    return built, faults, paint


def differs(name, built, known):
    """Where a page is not built as the record has it."""
    if known is None:
        return [f"{name} is not in the record"]
    found = []
    for key in sorted(built.keys() | known.keys()):
        here, there = built.get(key), known.get(key)
        if key == "paper":
            found += [f"{sheet}: {here[sheet]} pages, {there[sheet]} in the record" for sheet in SHEETS
                      if abs(here[sheet] - there[sheet]) > max(1, PAPER * there[sheet])]
        elif here != there:
            found.append(f"{key}: {here}, in the record {there}")
    return found


def main():
    given = [argument for argument in sys.argv[1:] if argument != "--write"]
    browser, record, axe, *pages = given
    record = pathlib.Path(record)
    axe = None if axe == "-" else pathlib.Path(axe).read_text()
    known = json.loads(record.read_text()) if record.exists() else {}
    wrong = 0
    for page in pages:
        name = pathlib.Path(page).stem
        built, faults, paint = looked_at(browser, page, axe)
        if "--write" in sys.argv:
            known[name] = built
        faults += differs(name, built, known.get(name))
        print(f"{name}: {built['pictures']} pictures, {built['tables']} tables, {built['paper']} pages, first painted after "
              f"{paint or 0:.0f} ms, {len(faults)} faults")
        for fault in faults[:40]:
            print(f"  {fault}")
        wrong += len(faults)
    if "--write" in sys.argv:
        record.write_text(json.dumps(known, indent=1, sort_keys=True) + "\n")
    sys.exit(1 if wrong else 0)


main()
