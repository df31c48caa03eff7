/** Seats are numbered as they are taken; a number is not given out twice while it is in use. */
import type { LiveView } from '@breathline/engine';

/** "Seat 3": the lowest number nobody sits on. */
export function nextSeat(seats: LiveView['seats']): string {
  const used = new Set(seats.map((each) => each.seat));
  for (let number = 1; ; number += 1) {
    const seat = `Seat ${number}`;
    if (!used.has(seat)) return seat;
  }
}
