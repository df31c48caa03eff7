/** The run on one line of time, for paper: what the patient's saturation and pulse were, and when doses were given. */
import { clockText, type TimelineModel } from '@breathline/debrief';
import { INK, MARGIN, RULE, SOFT, plain, type Sheet } from './sheet.ts';

const PANEL_HEIGHT = 54;

/** Draws the named panels one above the other with a time axis and dose marks; of the doses at most so many are named. */
export const drawStrip = (
  sheet: Sheet,
  model: TimelineModel,
  panelIds: readonly string[],
  mostDoses = Infinity,
): void => {
  const { pdf } = sheet;
  const panels = panelIds.flatMap((id) => model.panels.find((panel) => panel.id === id) ?? []);
  sheet.need(panels.length * (PANEL_HEIGHT + 6) + 46);
  const left = MARGIN + 62;
  const right = MARGIN + sheet.width;
  const span = Math.max(1, model.toMs - model.fromMs);
  const x = (ms: number): number => left + ((ms - model.fromMs) / span) * (right - left);
  const top = pdf.y + 14;
  let y = top;
  for (const panel of panels) {
    const [low, high] = panel.domain;
    const at = (value: number): number => y + PANEL_HEIGHT - ((value - low) / (high - low || 1)) * PANEL_HEIGHT;
    pdf
      .rect(left, y, right - left, PANEL_HEIGHT)
      .lineWidth(0.5)
      .strokeColor(RULE)
      .stroke();
    if (panel.range) {
      const from = Math.max(y, at(panel.range.high));
      const to = Math.min(y + PANEL_HEIGHT, at(panel.range.low));
      if (to > from)
        pdf
          .rect(left, from, right - left, to - from)
          .fillColor('#eef3f0')
          .fill();
    }
    pdf
      .font('strong')
      .fontSize(8)
      .fillColor(INK)
      .text(plain(panel.label), MARGIN, y + 2, { width: 42 });
    pdf.font('regular').fontSize(7).fillColor(SOFT).text(panel.unit, MARGIN, pdf.y, { width: 58 });
    pdf.text(String(Math.round(high)), MARGIN, y + 2, { width: 58, align: 'right' });
    pdf.text(String(Math.round(low)), MARGIN, y + PANEL_HEIGHT - 9, { width: 58, align: 'right' });
    for (const line of panel.lines) {
      if (line.kind !== 'true') continue;
      let drawing = false;
      for (const point of line.points) {
        if (point.value === null) {
          drawing = false;
          continue;
        }
        const px = x(point.atMs);
        const py = Math.min(y + PANEL_HEIGHT, Math.max(y, at(point.value)));
        if (drawing) pdf.lineTo(px, py);
        else pdf.moveTo(px, py);
        drawing = true;
      }
      pdf.lineWidth(1).strokeColor(INK).stroke();
    }
    y += PANEL_HEIGHT + 6;
  }
  const bottom = y - 6;
  model.doses.forEach((dose, i) => {
    const px = x(dose.atMs);
    pdf.moveTo(px, top).lineTo(px, bottom).lineWidth(0.8).dash(2, { space: 2 }).strokeColor(SOFT).stroke().undash();
    pdf
      .font('strong')
      .fontSize(7)
      .fillColor(INK)
      .text(String(i + 1), px - 6, top - 10, { width: 12, align: 'center' });
  });
  const stepMs = span > 1_200_000 ? 300_000 : span > 360_000 ? 120_000 : 60_000;
  for (let ms = Math.ceil(model.fromMs / stepMs) * stepMs; ms <= model.toMs; ms += stepMs) {
    pdf
      .font('regular')
      .fontSize(7)
      .fillColor(SOFT)
      .text(clockText(ms), x(ms) - 16, bottom + 3, { width: 32, align: 'center' });
  }
  pdf.y = bottom + 16;
  model.doses.slice(0, mostDoses).forEach((dose, i) => sheet.text(`${i + 1}   ${dose.text}`, { size: 8 }));
  const more = model.doses.length - mostDoses;
  if (more > 0) sheet.text(`and ${more} more, on the scorecard`, { size: 8, soft: true });
};
