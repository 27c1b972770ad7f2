// A page that waits for something looks again until it is there: what is told meanwhile changes in its place, and nothing loses its focus.
const every = 1000 * Number(document.querySelector("script[data-again]").dataset.again);
const bars = (page) => [...page.querySelectorAll("main progress")];
const words = (page) => page.querySelector("main").textContent.replace(/\s+/g, " ").trim();
const before = words(document);
async function look() {
  try {
    const answer = await fetch(location.href, { headers: { accept: "text/html" } });
    if (!answer.ok) throw new Error(answer.status);
    const found = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (!found.querySelector("script[data-again]") || words(found) !== before) { location.reload(); return; }
    const there = bars(document);
    bars(found).forEach((bar, place) => { if (there[place]) there[place].value = bar.value; });
  } catch { /* the server is away: it may come back */ }
  setTimeout(look, every);
}
setTimeout(look, every);
