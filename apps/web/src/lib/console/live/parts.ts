/** Going to a part of a drawer: it stands at the top, and the keyboard is there too. */
export function goToPart(part: string): void {
  const heading = document.querySelector<HTMLElement>(`#part-${part} h2`);
  heading?.scrollIntoView({ block: 'start' });
  heading?.focus({ preventScroll: true });
}
