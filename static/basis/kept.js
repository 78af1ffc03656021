// What a page keeps on the phone. Where the browser keeps nothing (a private window, a full store) the page
// itself does, as long as it is open.
const here = new Map();

export function load(name, otherwise) {
  if (here.has(name)) return structuredClone(here.get(name));
  try {
    return JSON.parse(localStorage.getItem(name)) ?? otherwise;
  } catch {
    return otherwise;
  }
}

// Returns whether it will be there after a reload.
export function save(name, value) {
  try {
    localStorage.setItem(name, JSON.stringify(value));
    here.delete(name);
    return true;
  } catch {
    here.set(name, structuredClone(value));
    return false;
  }
}

// Whether all that was kept is there after a reload.
export const lasts = () => here.size === 0;
