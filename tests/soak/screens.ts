/** What the soak reads off one page: heap after a forced collection, main-thread time, what a monitor has drawn. */
import { readFileSync } from 'node:fs';
import type { CDPSession } from 'playwright-core';
import type { CommandMessage } from '@breathline/protocol';
import type { Device } from '../journeys/drive.ts';
import type { At, Look } from './figures.ts';

const MB = 1024 * 1024;

/** Frames kept for what a journey's helpers look at; a long run would fill this process's own memory otherwise. */
const KEPT_FRAMES = 40;

export class Watched {
  readonly heapMb: At[] = [];
  readonly nodes: At[] = [];
  readonly listeners: At[] = [];
  /** Main-thread time as the browser counts it, ms of each second. */
  readonly busyMsPerS: number[] = [];
  readonly drawnPerS: number[] = [];
  /** A monitor's own count: drawing, frames and sound, ms of each second. */
  readonly ownMsPerS: number[] = [];
  looks: Look[] = [];
  /** Commands sent, by client and number. */
  readonly sent = new Map<string, CommandMessage>();
  readonly acked = new Map<number, number>();
  readonly refused: string[] = [];
  #last: { atS: number; taskS: number } | null = null;
  #readTexts = 0;
  #readSent = 0;

  private constructor(
    readonly name: string,
    readonly device: Device,
    readonly isMonitor: boolean,
    readonly cdp: CDPSession,
  ) {}

  static async of(name: string, device: Device, isMonitor: boolean): Promise<Watched> {
    const cdp = await device.context.newCDPSession(device.page);
    await cdp.send('Performance.enable');
    const watched = new Watched(name, device, isMonitor, cdp);
    if (isMonitor) await watched.#look();
    return watched;
  }

  /** Starts, inside the page, a look at its own traces ten times a second. */
  async #look(): Promise<void> {
    await this.device.page.evaluate(() => {
      const looks: { wall: number; head: number; inTouch: boolean }[] = [];
      Object.assign(globalThis, { soakLooks: looks });
      let lastMs = 0;
      const look = (): void => {
        requestAnimationFrame(look);
        const now = performance.now();
        if (now - lastMs < 100) return;
        lastMs = now;
        const head = (globalThis as unknown as { __monitorStats?: { headMs: number | null } }).__monitorStats?.headMs;
        if (head == null) return;
        const notice = document.querySelector<HTMLElement>('.monitor')?.dataset['notice'];
        looks.push({ wall: performance.timeOrigin + now, head, inTouch: notice === '' });
        if (looks.length > 3000) looks.splice(0, 1000);
      };
      requestAnimationFrame(look);
    });
  }

  /** Reads what came since, and lets go of it. Called often. */
  gather(): void {
    const { texts, sent } = this.device;
    for (const text of sent.slice(this.#readSent)) {
      if (!text.startsWith('{"t":"command"')) continue;
      const message = JSON.parse(text) as CommandMessage;
      this.sent.set(`${message.clientId} ${message.n}`, message);
    }
    for (const text of texts.slice(this.#readTexts)) {
      if (text.startsWith('{"t":"ack"')) {
        const ack = JSON.parse(text) as { n: number; seq: number };
        this.acked.set(ack.n, ack.seq);
      } else if (text.startsWith('{"t":"refused"')) this.refused.push(text);
    }
    const spare = Math.max(0, texts.length - KEPT_FRAMES);
    texts.splice(0, spare);
    this.#readTexts = texts.length;
    sent.splice(0, sent.length);
    this.#readSent = 0;
  }

  /** Brings what the page saw of its traces, and what it cost since the last call. */
  async measure(): Promise<void> {
    const { metrics } = await this.cdp.send('Performance.getMetrics');
    const of = (name: string): number => metrics.find((each) => each.name === name)?.value ?? NaN;
    const now = { atS: of('Timestamp'), taskS: of('TaskDuration') };
    if (this.#last && now.atS > this.#last.atS)
      this.busyMsPerS.push(((now.taskS - this.#last.taskS) / (now.atS - this.#last.atS)) * 1000);
    this.#last = now;
    if (!this.isMonitor) return;
    const { looks, stats } = await this.device.page.evaluate(() => {
      const here = globalThis as unknown as {
        soakLooks: { wall: number; head: number; inTouch: boolean }[];
        __monitorStats?: { drawnPerS: number; busyMsPerS: number };
      };
      return { looks: here.soakLooks.splice(0), stats: here.__monitorStats ?? null };
    });
    this.looks.push(...looks);
    if (stats && stats.drawnPerS > 0) {
      this.drawnPerS.push(stats.drawnPerS);
      this.ownMsPerS.push(stats.busyMsPerS);
    }
  }

  /** Collects garbage, then reads what is left. */
  async weigh(minutes: number): Promise<void> {
    await this.cdp.send('HeapProfiler.collectGarbage');
    const { usedSize } = await this.cdp.send('Runtime.getHeapUsage');
    this.heapMb.push({ minutes, value: usedSize / MB });
    const { metrics } = await this.cdp.send('Performance.getMetrics');
    const of = (name: string): number => metrics.find((each) => each.name === name)?.value ?? NaN;
    this.nodes.push({ minutes, value: of('Nodes') });
    this.listeners.push({ minutes, value: of('JSEventListeners') });
  }
}

/** Memory of a process that is in use now, MB (Linux). */
export const residentMb = (pid: number): number => {
  const found = /VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1];
  return found === undefined ? NaN : Number(found) / 1024;
};
