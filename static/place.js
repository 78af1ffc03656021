// Which page this phone looks at: it is led back there when it begins again. The cookie goes to /start alone.
const YEAR = 365 * 24 * 3600;
const keep = () => {
  if (document.visibilityState !== "visible") return;
  const place = encodeURIComponent(location.pathname + location.search);
  document.cookie = `last=${place}; path=/start; max-age=${YEAR}; SameSite=Strict`;
};

document.addEventListener("visibilitychange", keep);
keep();
