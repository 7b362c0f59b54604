// The strip under the picture: wind, lean and rotor thrust along the flight, with limits marked.

const ROWS = [
  { key: "wind", label: "wind", unit: "m/s", colour: "--wind", dash: [] },
  { key: "lean", label: "lean", unit: "deg", colour: "--lean", dash: [5, 3] },
  { key: "away", label: "away", unit: "m", colour: "--away", dash: [2, 2] },
];

export class Strip {
  constructor(canvas, onPick) {
    this.canvas = canvas;
    this.context = canvas.getContext("2d");
    let held = false;
    const pick = (event) => {
      const box = canvas.getBoundingClientRect();
      onPick(Math.max(0, Math.min((event.clientX - box.left) / box.width, 1)));
    };
    canvas.addEventListener("pointerdown", (event) => {
      held = true;
      canvas.setPointerCapture(event.pointerId);
      pick(event);
    });
    canvas.addEventListener("pointermove", (event) => held && pick(event));
    canvas.addEventListener("pointerup", () => { held = false; });
  }

  show(flight) {
    this.flight = flight;
    const { wind_north: wn, wind_east: we, roll, pitch, away } = flight.channel;
    this.rows = {
      wind: wn.map((value, i) => Math.hypot(value, we[i])),
      lean: roll.map((value, i) => Math.acos(Math.cos(value) * Math.cos(pitch[i])) * 180 / Math.PI),
      away,
    };
  }

  draw(share) {
    const { canvas, context, flight } = this;
    if (!flight) return;
    const ratio = Math.min(window.devicePixelRatio || 1, 2);
    const [wide, high] = [canvas.clientWidth, canvas.clientHeight];
    if (canvas.width !== Math.floor(wide * ratio)) {
      canvas.width = Math.floor(wide * ratio);
      canvas.height = Math.floor(high * ratio);
    }
    context.setTransform(ratio, 0, 0, ratio, 0, 0);
    context.clearRect(0, 0, wide, high);
    const style = getComputedStyle(canvas);
    const each = (high - 12) / ROWS.length;
    const limits = flight.channel.limits;
    const flags = flight.serious_limits;
    context.fillStyle = style.getPropertyValue("--limit");
    for (let i = 0; i < limits.length; i += 1) {
      if (limits[i] & flags) context.fillRect((i / (limits.length - 1)) * wide, high - 10, 2, 8);
    }
    context.font = "12px system-ui, sans-serif";
    ROWS.forEach((row, r) => {
      const values = this.rows[row.key];
      const most = Math.max(values.reduce((a, b) => Math.max(a, b), 0), 1e-6);
      context.strokeStyle = style.getPropertyValue(row.colour);
      context.setLineDash(row.dash);
      context.lineWidth = 1.5;
      context.beginPath();
      for (let x = 0; x <= wide; x += 1) {
        const i = Math.min(Math.round((x / wide) * (values.length - 1)), values.length - 1);
        const y = each * (r + 1) - 3 - (values[i] / most) * (each - 8);
        if (x === 0) context.moveTo(x, y); else context.lineTo(x, y);
      }
      context.stroke();
      context.setLineDash([]);
      const words = `${row.label}, up to ${most.toPrecision(2)} ${row.unit}`;
      context.fillStyle = style.backgroundColor;
      context.fillRect(2, each * r + 1, context.measureText(words).width + 6, 15);
      context.fillStyle = style.color;
      context.fillText(words, 4, each * r + 12);
    });
    context.fillStyle = style.color;
    context.fillRect(share * wide - 1, 0, 2, high);
  }
}
