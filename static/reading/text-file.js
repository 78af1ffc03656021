// A file beside a box of text: its text goes into the box, so that it is kept with all that was typed, and
// waits with it where there is no link. Without script the text is pasted.
for (const part of document.querySelectorAll("[data-text-file]")) {
  const box = document.getElementById(part.dataset.textFile);
  const input = part.querySelector("input");
  part.hidden = false;
  input.addEventListener("change", async () => {
    const [file] = input.files;
    if (!file) return;
    box.value = decoded(new Uint8Array(await file.arrayBuffer()));
    box.dispatchEvent(new Event("input", { bubbles: true }));
  });
}

// Spreadsheets write UTF-16 with a mark in front.
function decoded(bytes) {
  const [first, second] = bytes;
  const mark = first === 0xff && second === 0xfe ? "utf-16le" : first === 0xfe && second === 0xff ? "utf-16be" : "utf-8";
  return new TextDecoder(mark).decode(bytes);
}
