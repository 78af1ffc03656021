// Who is asked to join has nothing to read here any more: pages that were kept of before are gone.
for (const name of Object.keys(sessionStorage)) if (/^advisor-(seen |asked |board$)/.test(name)) sessionStorage.removeItem(name);
localStorage.removeItem("advisor-sent");
globalThis.caches?.delete("advisor-pages");
document.cookie = "last=; path=/start; max-age=0; SameSite=Strict";
