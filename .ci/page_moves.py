"""Opens a live page in a browser, moves its sliders as a reader would, and holds what it shows to the program.

    page_moves.py BROWSER PROGRAM CASE PAGE

Says how long it took from a slider's input to the new number.
"""

import json
import pathlib
import re
import subprocess
import sys
import tempfile

from browser import Browser

LIKE = 1e-9  # both may differ by this share: the browser has a mathematical library of its own

# Waits until nothing is asked any more; what went wrong is told.
RESTS = """new Promise((done, fails) => {
  const live = document.getElementById("live");
  const look = () => {
    if (live.dataset.state === "rest") done();
    else if (["fails", "stopped"].includes(live.dataset.state)) fails(document.getElementById("live-told").textContent);
    else setTimeout(look, 20);
  };
  setTimeout(look, 20);
})"""

# Moves the slider K by a share of its way; gives the milliseconds until the new numbers stood in the page.
MOVES = """new Promise((done) => {
  const range = document.getElementById("move-K"), place = document.getElementById("live-point");
  const from = performance.now();
  new MutationObserver((_, sees) => { sees.disconnect(); done(performance.now() - from); })
    .observe(place, { childList: true });
  const [low, high] = [+range.min, +range.max];
  range.value = low + SHARE * (high - low);
  range.dispatchEvent(new Event("input"));
})"""


def limits(sections):
    """The rows of the limits of an answer."""
    return next(s for s in sections if s["name"] == "limits")["tables"][0]["rows"]


def by_the_program(program, case, line, folder):
    """What the program says of the case with a line among its variants."""
    text = pathlib.Path(case).read_text()
    if "    variants: {" in text:
        text = text.replace("    variants: {", "    variants: {\n" + line + "\n", 1)
    else:
        head, _ = text.rsplit(")", 1)
        text = head + "    variants: { " + line + " },\n)\n"
    for other in pathlib.Path(case).parent.glob("*.ron"):
        (folder / other.name).write_text(other.read_text())
    own = folder / "moved.ron"
    own.write_text(text)
    done = subprocess.run([program, "point", own, "--json", "--variant", "tried"], capture_output=True, text=True)
    return json.loads(done.stdout), done.returncode


def like(a, b):
    if isinstance(a, dict) and isinstance(b, dict) and "value" in a:
        a, b = a["value"], b["value"]
    if isinstance(a, float) or isinstance(b, float):
        return abs(a - b) <= LIKE * max(abs(a), abs(b))
    return a == b


def main():
    browser, program, case, page = sys.argv[1:5]
    folder = pathlib.Path(tempfile.mkdtemp())
    reader = Browser(browser, folder / "browser")
    reader.opens(page)
    reader.run("document.getElementById('live').scrollIntoView()")
    reader.run(RESTS)
    count = reader.run("document.querySelectorAll('#live .slider').length")
    held, times = 0, []
    for k in range(count):
        share = "0.3" if k % 2 else "0.8"
        # Twice: a browser makes code quick only when it has run.
        for part in (share, "0.55", share):
            times.append(reader.run(MOVES.replace("K", str(k)).replace("SHARE", part)))
        reader.run(RESTS)
        line = reader.run("document.getElementById('live-variant').textContent")
        shown = reader.run("document.getElementById('live-point').dataset.answer")
        if shown:
            whole, code = by_the_program(program, case, line, folder)
            if code > 1:
                raise SystemExit(f"{case}: the program refuses what the page solves: {line}\n{whole}")
            for here, there in zip(limits(json.loads(shown)), limits(whole["sections"]), strict=True):
                for key in ("limit", "of", "standing", "value", "margin_value", "bound_value"):
                    if not like(here.get(key), there.get(key)):
                        raise SystemExit(f"{case} {line} {here['limit']} {key}: {here.get(key)} {there.get(key)}")
                    held += 1
        if reader.run("document.querySelectorAll('#live-cycle').length"):
            drawn = reader.run("[...document.querySelectorAll('#live-cycle .trace path.now')].every((p) => /^M/.test(p.getAttribute('d')))")
            if not drawn:
                raise SystemExit(f"{case}: a history is not drawn")
        reader.run(f"document.querySelectorAll('#live .back')[{k}].click()")
        reader.run(RESTS)
    # What is no value is refused in words, by the keyboard a slider goes one step, and both can be taken back.
    reader.run("(() => { const box = document.getElementById('type-0'); box.value = '12 parsecs'; "
               "box.dispatchEvent(new Event('change')); })()")
    reader.run(RESTS)
    refused = reader.run("document.getElementById('live-point').innerText")
    if "NOT SOLVED" not in refused or "parsecs" not in refused:
        raise SystemExit(f"{case}: what is no value is not refused: {refused}")
    reader.run("document.querySelector('#live .back').click()")
    key = "document.getElementById('move-1').dispatchEvent(new KeyboardEvent('keydown', {key: 'KEY', cancelable: true}))"
    reader.run(key.replace("KEY", "ArrowRight") + "; " + key.replace("KEY", "ArrowRight"))
    reader.run(RESTS)
    if reader.run("document.getElementById('live-lines').hidden"):
        reader.run(key.replace("KEY", "Home"))
        reader.run(RESTS)
        if reader.run("document.getElementById('live-lines').hidden"):
            raise SystemExit(f"{case}: keys move nothing")
    reader.run("document.getElementById('live-reset').click()")
    reader.run(RESTS)
    shown = reader.run("document.getElementById('live-lines').hidden")
    if not shown:
        raise SystemExit(f"{case}: all is reset, and something differs")
    took = reader.run("document.getElementById('live-cycle')?.dataset.took ?? ''")
    complaints = [one for one in reader.said if not re.search("favicon", one)]
    reader.ends()
    if complaints:
        raise SystemExit(f"{case}: the page complains: {complaints}")
    times.sort()
    cycle = f", a cycle in {float(took):.0f} ms" if took else ""
    print(f"{case}: {count} sliders, {held} values held, {times[len(times) // 2]:.1f} ms to the new number "
          f"(at most {times[-1]:.1f}){cycle}")


main()
