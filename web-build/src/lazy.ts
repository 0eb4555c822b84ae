// The 3D view is a script of its own, fetched only on the page that shows it; without it the drawing stays.
export function solid(): void {
  const place = document.querySelector<HTMLElement>("[data-solid]");
  const script = place?.dataset.script;
  if (!place || !script) return;
  const start = (): void => {
    import(script)
      .then((module: { show(place: HTMLElement): Promise<void> }) => module.show(place))
      .catch(() => place.setAttribute("data-solid-failed", ""));
  };
  const button = place.querySelector<HTMLButtonElement>("button[data-solid-start]");
  if (button) {
    button.hidden = false;
    button.addEventListener("click", start, { once: true });
  } else {
    start();
  }
}
