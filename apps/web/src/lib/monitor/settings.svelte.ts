/** How this one screen is set up; kept on the device. */
import type { Co2Unit } from './view.ts';

export type Room = 'night' | 'bright';

const KEY = 'breathline-monitor';

interface Kept {
  room: Room;
  co2Unit: Co2Unit;
}

function read(): Kept {
  const usual: Kept = { room: 'night', co2Unit: 'mmHg' };
  try {
    const kept = JSON.parse(localStorage.getItem(KEY) ?? '{}') as Partial<Kept>;
    return {
      room: kept.room === 'bright' ? 'bright' : usual.room,
      co2Unit: kept.co2Unit === 'kPa' ? 'kPa' : usual.co2Unit,
    };
  } catch {
    return usual;
  }
}

export class MonitorSettings {
  room: Room = $state('night');
  co2Unit: Co2Unit = $state('mmHg');

  constructor(fixed: Partial<Kept> = {}) {
    const kept = { ...read(), ...fixed };
    this.room = kept.room;
    this.co2Unit = kept.co2Unit;
  }

  keep(): void {
    try {
      localStorage.setItem(KEY, JSON.stringify({ room: this.room, co2Unit: this.co2Unit }));
    } catch {
      // Storage may be barred: the choice then lasts until the page is closed.
    }
  }
}
