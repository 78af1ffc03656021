// Looks how far the search is, and shows the answer once it is there. Without script there is a link.
const progress = document.getElementById("progress");
const EVERY = 400;

async function look() {
  try {
    const response = await fetch(progress.dataset.ask);
    const { state, percent } = await response.json();
    if (state !== "running") {
      location.replace(progress.dataset.page);
      return;
    }
    progress.querySelector("progress").value = percent;
    document.getElementById("percent").textContent = percent;
  } catch {
    // out of reach for a moment: the page stays, and looks again
  }
  setTimeout(look, EVERY);
}

if (progress) setTimeout(look, EVERY);
