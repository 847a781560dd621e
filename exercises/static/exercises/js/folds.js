/**
 * Parts of a page that take the server a while: they are fetched when they are opened, and again
 * when something else is asked in them. Without this script, or a network, their links load the
 * page with them.
 */
async function fill(fold, address) {
  const inside = fold.querySelector("[data-fold]");
  const said = fold.querySelector("[data-fold-busy]");
  fold.setAttribute("aria-busy", "true");
  said.textContent = said.dataset.foldBusy;
  said.dataset.busy = "";
  try {
    const answer = await fetch(address);
    if (answer.ok && !answer.redirected) inside.innerHTML = await answer.text();
  } finally {
    fold.removeAttribute("aria-busy");
    said.textContent = "";
    delete said.dataset.busy;
  }
}

for (const fold of document.querySelectorAll("[data-fetched]")) {
  const address = fold.dataset.fetched;
  const complain = () => {
    fold.querySelector("[data-fold-link]")?.removeAttribute("hidden");
  };
  fold.addEventListener("toggle", () => {
    if (fold.open && !fold.querySelector("form")) fill(fold, address).catch(complain);
  });
  fold.addEventListener("submit", (event) => {
    if (event.target.method !== "get") return;
    event.preventDefault();
    const asked = new URLSearchParams(new FormData(event.target));
    fill(fold, `${address}?${asked}`).catch(() => event.target.submit());
  });
}
