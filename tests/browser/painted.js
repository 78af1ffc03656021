// Run axe's rules of contrast on text that is painted as none before it, for tests/browser/test_access.py.
// Loaded by the tests, never by a page. `seen` holds the ways in which text was painted that was measured.
async ([seen, options]) => {
  const known = new Set(seen), under = new Map();
  const lies = (e) => {
    // What the text of an element lies on: all that is painted behind it, or lets that be seen.
    if (!e) return "";
    if (!under.has(e)) {
      const s = getComputedStyle(e);
      let own = "";
      if (s.backgroundColor !== "rgba(0, 0, 0, 0)") own += ` ${s.backgroundColor}`;
      if (s.backgroundImage !== "none") own += ` ${s.backgroundImage}`;
      for (const name of ["opacity", "filter", "mixBlendMode"]) {
        if (!["1", "none", "normal"].includes(s[name])) own += ` ${name} ${s[name]}`;
      }
      // What is taken out of the flow may lie on anything, and so may a text on a drawing: only its like is alike.
      const loose = !["static", "relative"].includes(s.position) || e.localName === "svg";
      if (loose) own += e.outerHTML;
      under.set(e, lies(e.parentElement) + own);
    }
    return under.get(e);
  };
  const found = new Map(); // by the way in which they are painted: up to three, since a bar may lie over one
  for (const e of document.body.querySelectorAll("*")) {
    const says = e.matches("input, select, textarea")
      || [...e.childNodes].some((n) => n.nodeType === Node.TEXT_NODE && n.data.trim());
    if (!says || !e.checkVisibility()) continue;
    const s = getComputedStyle(e);
    const way = `${lies(e)} / ${s.color} ${s.fill} ${s.fontSize} ${s.fontWeight} ${s.textShadow}`;
    if (known.has(way)) continue;
    const alike = found.get(way) ?? [];
    if (alike.length < 3) found.set(way, [...alike, e]);
  }
  if (!found.size) return { violations: [], passes: [], ways: [] };
  const wayOf = new Map([...found].flatMap(([way, alike]) => alike.map((e) => [e, way])));
  const { violations, passes, incomplete } = await axe.run({ include: [...wayOf.keys()] }, { ...options, elementRef: true });
  const nodes = [...violations, ...passes].flatMap((rule) => rule.nodes);
  // What one of the rules leaves open, as where the text is a single sign, is measured on another text.
  const open = new Set(incomplete.flatMap((rule) => rule.nodes).map((n) => n.element));
  const measured = nodes
    .filter((n) => n.any[0]?.data?.contrastRatio && !open.has(n.element))
    .map((n) => wayOf.get(n.element));
  const bare = (rules) => rules.map(({ id, nodes }) => (
    { id, nodes: nodes.map(({ html, failureSummary }) => ({ html, failureSummary })) }
  ));
  return { violations: bare(violations), passes: passes.map(({ id }) => ({ id })), ways: measured.filter(Boolean) };
}
