// Tells each form where it stands and which tab it is, and says how saving went.
export const tab = sessionStorage.getItem("snugbay-tab") ?? Math.random().toString(36).slice(2, 10);

export function here(): void {
  sessionStorage.setItem("snugbay-tab", tab);
  fill(document);
  document.body.addEventListener("htmx:afterSettle", () => fill(document));
  document.body.addEventListener("htmx:oobAfterSwap", () => fill(document));
  for (const name of ["htmx:sendError", "htmx:responseError"]) {
    document.body.addEventListener(name, (event) => said(event as CustomEvent));
  }
  window.addEventListener("beforeunload", (event) => {
    if (document.querySelector("[data-unsaved]")) event.preventDefault();
  });
  document.addEventListener("click", (event) => {
    const reload = (event.target as Element).closest("[data-reload]");
    if (!reload) return;
    event.preventDefault();
    document.querySelectorAll("[data-unsaved]").forEach((form) => form.removeAttribute("data-unsaved"));
    location.reload();
  });
  document.body.addEventListener("submit", (event) => {
    (event.target as Element).removeAttribute("data-unsaved");
  });
}

function fill(root: ParentNode): void {
  const at = location.pathname + location.search;
  root.querySelectorAll<HTMLInputElement>("input[data-here]").forEach((input) => (input.value = at));
  root.querySelectorAll<HTMLInputElement>("input[data-tab]").forEach((input) => (input.value = tab));
}

function said(event: CustomEvent): void {
  const place = document.getElementById("said");
  const text = document.querySelector<HTMLElement>("[data-offline]")?.dataset.offline;
  if (!place || !text) return;
  place.textContent = event.type === "htmx:sendError" ? text : (event.detail?.xhr?.statusText ?? text);
}
