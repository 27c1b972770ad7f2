// What a long page folds comes when it is opened; a link to a folded section opens it.
async function bring(box) {
  const inner = box.querySelector(".inner"), from = box.dataset.later, name = box.closest("section").id;
  delete box.dataset.later;
  inner.setAttribute("aria-busy", "true");
  try {
    const answer = await fetch(`${location.pathname}${from}`);
    const found = answer.ok && new DOMParser().parseFromString(await answer.text(), "text/html").getElementById(name);
    if (found) inner.replaceChildren(...found.childNodes); else box.dataset.later = from;
  } catch { box.dataset.later = from; } // its link is still there
  inner.removeAttribute("aria-busy");
}
const opened = () => { const box = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)))?.querySelector(":scope > details"); if (box) box.open = true; };
document.addEventListener("toggle", (event) => { if (event.target.open && event.target.dataset?.later) bring(event.target); }, true);
addEventListener("hashchange", opened);
opened();
