// Answers as the person types. Without script the form's button does the same.
const form = document.getElementById("quick");
const answer = document.getElementById("answer");
let waiting;
let asked = 0;

async function ask() {
  const query = new URLSearchParams(new FormData(form));
  history.replaceState(null, "", `?${query}`);
  if (!query.get("cct").trim() || !query.get("duv").trim()) return;
  const mine = ++asked;
  query.set("part", "answer");
  try {
    const response = await fetch(`${form.action}?${query}`);
    const html = await response.text();
    if (mine === asked && response.ok) answer.innerHTML = html;
  } catch {
    if (mine === asked) answer.textContent = "The advisor does not answer. Is the Wi-Fi there? What you typed is kept.";
  }
}

form.addEventListener("input", () => {
  clearTimeout(waiting);
  waiting = setTimeout(ask, 250);
});
form.elements.namedItem("target_cct").addEventListener("input", words);
form.elements.namedItem("target_locus").addEventListener("input", words);

function words() {
  const { target_cct: cct, target_locus: locus } = form.elements;
  document.getElementById("target-words").textContent = `${cct.value} K, ${locus.value}`;
}
