// Which page this phone looks at: it is led back there when it begins again. The cookie goes to /start alone.
const YEAR = 365 * 24 * 3600;
const keep = () => {
  if (document.visibilityState !== "visible") return;
  const place = encodeURIComponent(location.pathname + location.search);
  document.cookie = `last=${place}; path=/start; max-age=${YEAR}; SameSite=Strict`;
};

document.addEventListener("visibilitychange", keep);
keep();
if (document.querySelector(".one-head")) import("./awake.js");
if (document.querySelector(".places")) import("./folds.js");

// Only over HTTPS, and at the laptop itself: elsewhere browsers have none.
if ("serviceWorker" in navigator) {
  addEventListener("load", () => navigator.serviceWorker.register("/worker.js").catch(() => {}), { once: true });
}
