// What is touched, as rectangles, for tests/browser/test_access.py. Loaded by the tests, never by a page.
() => {
  const inline = (e) => {
    // WCAG 2.5.8 exempts a link within a sentence: the line's height is not the author's to choose.
    if (e.tagName !== "A" || getComputedStyle(e).display !== "inline" || e.closest("svg")) return false;
    return [...e.parentElement.childNodes].some((n) => n !== e && n.textContent.trim());
  };
  const area = (e) => e.closest(".tick") ?? (e.matches("input, textarea") ? e.closest(".entry") ?? e : e);
  const found = "a[href], button, input:not([type=hidden]), select, textarea, summary";
  const over = document.querySelector(".pad.over, dialog:modal") ?? document; // what lies under one cannot be touched
  const areas = new Set(
    [...over.querySelectorAll(found)].filter((e) => e.checkVisibility() && !inline(e)).map(area),
  );
  return [...areas].map((e) => {
    const { x, y, width, height } = e.getBoundingClientRect();
    const pinned = e.closest(".stick, .places, .pad.over .main") !== null; // lies over the page, wherever that is scrolled to
    return { what: e.outerHTML.slice(0, 90), x, y, width, height, pinned, round: e.closest("svg") !== null };
  });
}
