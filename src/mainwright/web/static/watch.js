// A part of a page that changes by itself: asked for every second, and changed only where it differs, so that whoever works on it keeps the focus.
const EVERY = 1000;
const apart = (old, fresh) => old.nodeName !== fresh.nodeName || old.dataset?.key !== fresh.dataset?.key;

// Makes a part as it is now, and returns what stands where the focus was, if that is another thing.
function alter(old, fresh) {
  if (old.isEqualNode(fresh)) return null;
  const held = old.contains(document.activeElement);
  if (old.nodeType !== Node.ELEMENT_NODE || apart(old, fresh)) {
    // What stands for something else is not made of what was there: a key that is on its way down must not press another button.
    old.replaceWith(fresh);
    return held ? fresh : null;
  }
  for (const { name } of [...old.attributes]) if (!fresh.hasAttribute(name)) old.removeAttribute(name);
  for (const { name, value } of fresh.attributes) if (old.getAttribute(name) !== value) old.setAttribute(name, value);
  const before = [...old.childNodes], after = [...fresh.childNodes];
  let lost = null;
  after.forEach((one, place) => { if (place < before.length) lost = alter(before[place], one) ?? lost; else old.append(one); });
  for (const one of before.slice(after.length)) { if (one.contains(document.activeElement)) lost = old; one.remove(); }
  return lost;
}

const goal = (part) => (part.matches?.("[data-focus]") ? part : part.querySelector?.("[data-focus]"));

async function look(root) {
  const from = root.dataset.watch;
  if (from === undefined) return; // it is over
  try {
    const answer = await fetch(from || location.href, { headers: { accept: "text/html" } });
    if ([401, 403, 404].includes(answer.status)) { location.reload(); return; } // the page says why
    if (answer.ok) {
      const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById(root.id);
      if (!fresh) { location.reload(); return; } // another page stands in its place
      const lost = alter(root, fresh);
      if (lost) (goal(lost) ?? goal(root) ?? root).focus({ preventScroll: true });
    }
  } catch { /* the server is away: it may come again */ }
  setTimeout(look, EVERY, root);
}

for (const root of document.querySelectorAll("[data-watch]")) setTimeout(look, EVERY, root);
