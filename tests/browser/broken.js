// Words that a line's end breaks inside, for tests/browser/test_access.py. Loaded by the tests, never by a page.
() => {
  const found = [], range = document.createRange();
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node; (node = walk.nextNode()); ) {
    // A version, a key and a path may break anywhere: they are no words.
    const own = node.parentElement;
    if (!own.checkVisibility() || own.closest("svg, .unseen, .lengthy, .key")) continue;
    // What a space that does not break ties to the word before it may have to break with large text.
    for (const word of node.data.matchAll(/(?<![\u00a0\p{L}])\p{L}{2,}/gu)) {
      range.setStart(node, word.index);
      range.setEnd(node, word.index + word[0].length);
      const lines = [...range.getClientRects()].filter((r) => r.width > 0).map((r) => Math.round(r.top));
      if (new Set(lines).size > 1) found.push(`${word[0]} of ${node.data.trim().slice(0, 40)}`);
    }
  }
  return found;
}
