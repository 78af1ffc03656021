// What need not be seen at once is done once the page is painted: a finger waits for no more than what it asked for.
export function painted(act) {
  requestAnimationFrame(() => setTimeout(act));
}
