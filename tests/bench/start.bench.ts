/** How long a built app takes from the command to its first answer, beside Node starting and doing nothing. */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { TestServer } from '../faults/server.ts';

const ROUNDS = 5;

const median = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? NaN;

const timed = async (work: () => Promise<unknown>): Promise<number> => {
  const began = performance.now();
  await work();
  return (performance.now() - began) / 1000;
};

export default async () => {
  const server = new TestServer();
  const starts: number[] = [];
  const bare: number[] = [];
  try {
    await server.start();
    await server.stop();
    for (let round = 0; round < ROUNDS; round += 1) {
      bare.push(await timed(() => once(spawn(process.execPath, ['-e', '0'], { stdio: 'ignore' }), 'exit')));
      starts.push(
        await timed(async () => {
          await server.start();
          await server.call('GET', '/api/health');
        }),
      );
      await server.stop();
    }
  } finally {
    await server.dispose();
  }
  const [value, baseline] = [median(starts), median(bare)];
  return [
    {
      name: 'start of a built server to its first answer, median',
      value,
      unit: 's',
      baseline,
      ratio: value / baseline,
    },
  ];
};
