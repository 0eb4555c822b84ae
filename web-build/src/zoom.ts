// On a narrow screen a drawing is shown whole; a tap, or Enter on it, makes it large, to be pushed about in its frame.
export function zoom(): void {
  document.addEventListener("click", (event) => {
    const target = event.target as Element;
    const figure = target.closest<HTMLElement>("figure.roomy");
    if (figure && !target.closest("[data-layer=plan], a, button")) figure.classList.toggle("large");
  });
  document.addEventListener("keydown", (event) => {
    const target = event.target as Element;
    if (event.key === "Enter" && target.matches("figure.roomy")) target.classList.toggle("large");
  });
}
