// Follows long work by server-sent events; when it is over the page is loaded again.
export function progress(): void {
  const place = document.querySelector<HTMLElement>("[data-work]");
  if (!place?.dataset.work) return;
  const bar = place.querySelector("progress");
  const words = place.querySelector("[data-work-stage]");
  const source = new EventSource(place.dataset.work);
  source.addEventListener("standing", (event) => {
    const standing = JSON.parse((event as MessageEvent<string>).data) as { text: string; share: number };
    if (bar) bar.value = standing.share;
    if (words) words.textContent = standing.text;
  });
  source.addEventListener("over", () => {
    source.close();
    location.reload();
  });
  window.addEventListener("pagehide", () => source.close());
}
