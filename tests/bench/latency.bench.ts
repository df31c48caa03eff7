/**
 * How long a discrete change takes from a tap on the console to the monitor, on loopback, disk included; beside it, the
 * round trip of a bare socket that only echoes, on the same machine at the same time.
 */
import { WebSocketServer, WebSocket } from 'ws';
import { once } from 'node:events';
import type { AddressInfo } from 'node:net';
import type { MonitorFrame } from '@breathline/protocol';
import { TestServer } from '../faults/server.ts';

const TAPS = 200;
const WARM_UP = 20;

const percentile = (values: readonly number[], share: number): number => {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.ceil(share * sorted.length) - 1)] ?? NaN;
};

/** Round trips of a socket that sends back what it gets, ms. */
const echoTimes = async (): Promise<number[]> => {
  const server = new WebSocketServer({ host: '127.0.0.1', port: 0 });
  await once(server, 'listening');
  server.on('connection', (socket) => socket.on('message', (data) => socket.send(data)));
  const client = new WebSocket(`ws://127.0.0.1:${(server.address() as AddressInfo).port}`);
  await once(client, 'open');
  const times: number[] = [];
  for (let at = 0; at < TAPS + WARM_UP; at += 1) {
    const sent = performance.now();
    client.send('x'.repeat(200));
    await once(client, 'message');
    if (at >= WARM_UP) times.push(performance.now() - sent);
  }
  client.close();
  server.close();
  return times;
};

interface Times {
  readonly tapToMonitor: number[];
  readonly tapToAck: number[];
}

/** Device on, device off, on a running scenario with both screens open, ms. */
const tapTimes = async (): Promise<Times> => {
  const server = new TestServer();
  const tapToMonitor: number[] = [];
  const tapToAck: number[] = [];
  try {
    await server.start();
    await server.login();
    const { runId, joinCode } = await server.newRun();
    const faculty = await server.faculty(runId);
    const monitor = await server.monitor(joinCode);
    await faculty.tap({ kind: 'run-started' });
    for (let at = 0; at < TAPS + WARM_UP; at += 1) {
      const on = at % 2 === 0;
      const from = monitor.received.length;
      const sent = performance.now();
      const acked = faculty
        .tap({ kind: on ? 'device-attached' : 'device-removed', device: 'ecg' })
        .then(() => performance.now() - sent);
      await monitor.until<MonitorFrame>(
        (message) => message.t === 'monitor' && message.shown.attached.includes('ecg') === on,
        { from },
      );
      const seen = performance.now() - sent;
      const saved = await acked;
      if (at < WARM_UP) continue;
      tapToMonitor.push(seen);
      tapToAck.push(saved);
      // A person does not tap faster than this, and the socket's own pace would notice.
      await new Promise((resolve) => setTimeout(resolve, 30));
    }
  } finally {
    await server.dispose();
  }
  return { tapToMonitor, tapToAck };
};

/** Figures of this benchmark. */
export default async () => {
  const echo = await echoTimes();
  const { tapToMonitor, tapToAck } = await tapTimes();
  const figure = (name: string, value: number, baseline: number) => ({
    name,
    value,
    unit: 'ms',
    baseline,
    ratio: value / baseline,
  });
  return [
    figure(
      'tap to monitor, 99th percentile (bare echo beside it)',
      percentile(tapToMonitor, 0.99),
      percentile(echo, 0.99),
    ),
    figure('tap to monitor, median (bare echo beside it)', percentile(tapToMonitor, 0.5), percentile(echo, 0.5)),
    figure(
      'tap to acknowledged on disk, 99th percentile (bare echo beside it)',
      percentile(tapToAck, 0.99),
      percentile(echo, 0.99),
    ),
  ];
};
