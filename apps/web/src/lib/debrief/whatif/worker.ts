/** Replays away from the screen, so that it never stops answering the finger. One question at a time: the newest. */
import { EngineError, WhatIfStudy } from '@breathline/engine';
import { UNCERTAIN } from '@breathline/patient';
import { linesOf } from './lines.ts';
import type { FromWorker, ToWorker } from './messages.ts';

let study: WhatIfStudy | null = null;
let newest = 0;

const tell = (message: FromWorker): void => postMessage(message);
/** Lets a newer question in between two replays. */
const breath = (): Promise<void> => new Promise((resolve) => setTimeout(resolve));

async function ask(id: number, edits: Extract<ToWorker, { t: 'ask' }>['edits']): Promise<void> {
  newest = id;
  if (!study) return;
  try {
    const from = performance.now();
    const whole = study.answer(edits);
    const { identical, differences, oddActs, engineVersion, recordedWith } = whole;
    const [base, alternative] = [linesOf(whole.base.track), linesOf(whole.alternative.track)];
    const tookMs = performance.now() - from;
    tell({
      t: 'answer',
      id,
      answer: { identical, differences, oddActs, engineVersion, recordedWith, base, alternative, tookMs },
    });
    if (identical) return;
    // A finger that is still dragging asks again at once; only a question left standing is widened.
    for (const wider of study.widen(whole)) {
      tell({ t: 'wider', id, differences: wider.differences, done: wider.uncertainConstants, of: UNCERTAIN.length });
      await breath();
      if (id !== newest) return;
    }
  } catch (error) {
    if (!(error instanceof EngineError)) throw error;
    tell({ t: 'refused', id, message: error.message });
  }
}

addEventListener('message', ({ data }: MessageEvent<ToWorker>) => {
  if (data.t === 'load') {
    study = new WhatIfStudy(data.run);
    // Played before anybody asks.
    void study.base;
  } else void ask(data.id, data.edits);
});
