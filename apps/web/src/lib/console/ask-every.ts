/** Asks something again and again while it is wanted, never twice at once. */
export const ASK_EVERY_MS = 2000;

/** Asks now, and again `everyMs` after each answer or failure; returns the function that ends it, after which nothing is told. */
export function askEvery<T>(
  ask: () => Promise<T>,
  onAnswer: (answer: T) => void,
  onProblem: (thrown: unknown) => void,
  everyMs: number = ASK_EVERY_MS,
): () => void {
  let going = true;
  let timer: ReturnType<typeof setTimeout> | undefined;
  const go = async (): Promise<void> => {
    try {
      const answer = await ask();
      if (going) onAnswer(answer);
    } catch (thrown) {
      if (going) onProblem(thrown);
    }
    if (going) timer = setTimeout(() => void go(), everyMs);
  };
  void go();
  return () => {
    going = false;
    clearTimeout(timer);
  };
}
