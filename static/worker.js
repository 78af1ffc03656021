// Keeps what was seen readable without the link: over HTTPS, and at the laptop itself. Pages come from the network
// first, and from here where nobody answers. Styles and scripts have another address once they change, so they come
// from here. What this phone was shown goes as soon as it is asked to join (static/page/forget.js).
const PAGES = "advisor-pages";
const PARTS = "advisor-parts";
const MOST = { [PAGES]: 80, [PARTS]: 80 };
const PATIENCE = 6000;
const LISTED = 12;
const NEVER = /^\/(join|host|start|today)(\/|$)/;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin || NEVER.test(url.pathname)) return;
  const forPerson = request.mode === "navigate" || request.headers.get("Accept")?.startsWith("text/html");
  if (url.pathname.startsWith("/static/")) event.respondWith(part(request));
  else if (forPerson) event.respondWith(page(request, url.pathname + url.search));
});

async function part(request) {
  const kept = await (await caches.open(PARTS)).match(request);
  if (kept) return kept;
  const got = await fetch(request);
  if (got.ok) await put(PARTS, request, got.clone());
  return got;
}

async function page(request, name) {
  const asked = ask(request, name);
  if (request.mode !== "navigate") return asked; // a page that renews itself asks again, and takes nothing of before
  const kept = await (await caches.open(PAGES)).match(name);
  if (!kept) return asked.catch(instead);
  const silence = new Promise((resolve) => { setTimeout(resolve, PATIENCE, null); });
  return (await Promise.race([asked.catch(() => null), silence])) ?? old(kept);
}

// What leads elsewhere, to the page where phones join above all, is no page to keep.
async function ask(request, name) {
  const at = Date.now(); // what is sent meanwhile may not be in it
  const got = await fetch(request);
  if (got.status >= 502 && !got.headers.has("Answered-By")) throw new Error("nobody behind the gateway");
  if (got.ok && !got.redirected && got.headers.get("Content-Type")?.startsWith("text/html")) await put(PAGES, name, dated(got.clone(), at));
  return got;
}

function dated(got, at) {
  const headers = new Headers(got.headers);
  headers.delete("Content-Encoding"); // it is read already
  headers.set("Kept-At", String(at));
  return new Response(got.body, { status: got.status, headers });
}

// The page itself is told that it is one of before, and of when.
async function old(kept) {
  const html = (await kept.text()).replace("<html ", `<html data-kept="${Number(kept.headers.get("Kept-At"))}" `);
  return new Response(html, { headers: kept.headers });
}

// Where a page was never opened, what was is listed, on the page that was put last: it has the look, and the bar.
async function instead(error) {
  const pages = await caches.open(PAGES);
  const names = (await pages.keys()).reverse();
  if (!names.length) throw error;
  const htmls = await Promise.all(names.slice(0, LISTED).map(async (name) => (await pages.match(name)).text()));
  const links = htmls.map((html, k) => {
    const { pathname, search } = new URL(names[k].url);
    const title = html.match(/<title>(.*?)(?: · [^<]*)?<\/title>/s)?.[1] ?? pathname;
    return `<li><a href="${(pathname + search).replaceAll("&", "&amp;")}">${title}</a></li>`;
  });
  const said = `<h1>Not kept here</h1><p>This page was not opened on this phone yet. These were:</p><ul class="list">${links.join("")}</ul>`;
  const html = htmls[0].replace("<html ", `<html data-kept="${Date.now()}" `)
    .replace(/(<main[^>]*>).*(<\/main>)/s, (_, begin, end) => begin + said + end)
    .replace(/<title>.*?<\/title>/s, "<title>Not kept here · Gel advisor</title>");
  return new Response(html, { headers: (await pages.match(names[0])).headers });
}

// What was put last comes last; the oldest go.
async function put(where, name, response) {
  const cache = await caches.open(where);
  await cache.delete(name);
  await cache.put(name, response);
  const names = await cache.keys();
  await Promise.all(names.slice(0, Math.max(0, names.length - MOST[where])).map((one) => cache.delete(one)));
}
