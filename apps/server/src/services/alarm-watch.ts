/**
 * Watches a run's alarms from its beginning, as a monitor that was always there would, so that a screen that joins late (or
 * comes back after the server's restart) is told which alarms stand and which were kept.
 */
import { alarmRanges, type MonitorFrame } from '@breathline/protocol';
import { alarmLimits, alarmReadings, createAlarms, type AlarmSource, type ToldAlarm } from '@breathline/signals';

/** A frame of measured values, without what only screens need. */
export type Watched = AlarmSource & Pick<MonitorFrame, 'clockMs' | 'blank' | 'ageYears' | 'alarm'>;

export class AlarmWatch {
  readonly #alarms = createAlarms();
  #standing: readonly ToldAlarm[] = [];

  /** Takes a frame and says what stands then. A blank one has no numbers: as on the screens, all alarms begin anew after it. */
  hear(frame: Watched): readonly ToldAlarm[] {
    if (frame.blank) {
      this.#alarms.reset();
      this.#standing = [];
      return this.#standing;
    }
    const limits = alarmLimits(alarmRanges(frame.ageYears), frame.alarm?.limits ?? []);
    this.#alarms.push(frame.clockMs, alarmReadings(frame), limits);
    this.#standing = this.#alarms.stateAt(frame.clockMs).alarms.map(({ id, atMs, active }) => ({ id, atMs, active }));
    return this.#standing;
  }
}
