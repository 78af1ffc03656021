// Times in this phone's own zone, written as the server writes those of the laptop's. Without script these stay.
const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
const two = (number) => String(number).padStart(2, "0");

export function said(at, withYear) {
  const year = withYear || at.getFullYear() !== new Date().getFullYear() ? ` ${at.getFullYear()}` : "";
  return `${two(at.getHours())}:${two(at.getMinutes())}, ${at.getDate()} ${MONTHS[at.getMonth()]}${year}`;
}

function zone() {
  const minutes = -new Date().getTimezoneOffset();
  const [hours, rest] = [Math.floor(Math.abs(minutes) / 60), Math.abs(minutes) % 60];
  return minutes ? `UTC${minutes < 0 ? "−" : "+"}${hours}${rest ? `:${two(rest)}` : ""}` : "UTC";
}

function ready() {
  for (const time of document.querySelectorAll("time[datetime]")) {
    const at = new Date(time.dateTime);
    if (Number.isNaN(at.getTime())) continue;
    const words = said(at, "year" in time.dataset);
    time.textContent = "hour" in time.dataset ? words.split(",")[0] : words;
  }
  for (const place of document.querySelectorAll("[data-zone]")) place.textContent = zone();
}

document.addEventListener("advisor:shown", ready);
ready();
