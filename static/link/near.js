// How near a reading is to what is wanted of its head, while nobody answers: by the target that the page knows.

// The Planckian locus in CIE 1960 (u, v): M. Krystek 1985, from memory. It holds from 1 000 to 15 000 K.
function locus(kelvin) {
  const u = (0.860117757 + 1.54118254e-4 * kelvin + 1.28641212e-7 * kelvin ** 2) / (1 + 8.42420235e-4 * kelvin + 7.08145163e-7 * kelvin ** 2);
  const v = (0.317398726 + 4.22806245e-5 * kelvin + 4.20481691e-8 * kelvin ** 2) / (1 - 2.89741816e-5 * kelvin + 1.61456053e-7 * kelvin ** 2);
  return [u, v];
}

// In CIE 1976 (u′, v′). A Duv leads off the locus at a right angle, green upwards.
function white(kelvin, duv) {
  const [[u, v], [warmU, warmV], [coolU, coolV]] = [kelvin, kelvin * 0.999, kelvin * 1.001].map(locus);
  const along = Math.hypot(warmU - coolU, warmV - coolV);
  const [du, dv] = [-(warmV - coolV) / along, (warmU - coolU) / along];
  return [u + duv * du, 1.5 * (v + duv * dv)];
}

const STEP = 0.0011; // CIE TN 001:2014, from memory
const OBVIOUS = 7;
const HOLDS = [1000, 15000];

// Says it in the words of the answers; `wanted` is CCT, Duv and the tolerance [step], as the page has them.
export function near(kelvin, duv, wanted) {
  const [cct, off, tolerance] = wanted.split(" ").map(Number);
  const known = [kelvin, cct].every((one) => one >= HOLDS[0] && one <= HOLDS[1]) && Math.abs(duv) <= 0.05;
  if (!known) return "";
  const [here, there] = [white(kelvin, duv), white(cct, off)];
  const steps = Math.hypot(here[0] - there[0], here[1] - there[1]) / STEP;
  if (steps <= Math.min(1, tolerance)) return "matches";
  if (steps <= Math.max(1, tolerance)) return "close";
  return steps <= OBVIOUS ? "a bit off" : "obvious";
}

// The same of what was typed into the form of a new reading; empty where it cannot be said.
function nearTyped(form) {
  const wanted = form.querySelector("[data-wanted]")?.dataset.wanted;
  const [cct, duv] = ["cct", "duv"].map((name) => form.elements.namedItem(name));
  if (!wanted || !cct || !duv) return "";
  const kelvin = cct.value.replace(/\s/g, "");
  const typed = duv.value.trim().replace(/^[-–−]/, "-").replace(/^\+/, "").replace(",", ".");
  const places = new RegExp(`^(?:${duv.dataset.places})$`, "u").test(duv.value.trim());
  if (!/^\d{4,5}$/.test(kelvin) || !/^-?\d*\.?\d+$/.test(typed)) return "";
  const said = near(Number(kelvin), Number(typed) / (places ? 10000 : 1), wanted);
  const bare = form.querySelector("[name=behind]:checked")?.value !== "hung";
  return said && `${said}${bare ? ", bare" : ""}`;
}

// It stands in the form as that is sent, before the outbox keeps it.
addEventListener("submit", ({ target }) => { target.dataset.near = nearTyped(target); }, true);
