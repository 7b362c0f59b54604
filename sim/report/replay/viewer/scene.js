// The craft in three dimensions: parts to scale, rotors that tilt and push, fabric, ground, wind.
//
// The scene holds one group in earth axes (north, east, down); in it the craft's group in body axes
// (forward, right, down). So every place is written as the computation has it.

import {
  AmbientLight, ArrowHelper, BoxGeometry, BufferAttribute, BufferGeometry, Color, CylinderGeometry,
  DirectionalLight, DoubleSide, Euler, Group, Line, LineBasicMaterial, LineSegments, Matrix4, Mesh,
  MeshLambertMaterial, PerspectiveCamera, Quaternion, Scene, SphereGeometry, Vector3, WebGLRenderer,
} from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { between } from "./data.js";

const COLOURS = {
  light: { sky: 0xf4f6f8, grid: 0x9aa4ad, part: 0x7a6a55, head: 0xc9a15a, pack: 0x444c55,
    rotor: 0x4477aa, limit: 0xaa3377, fabric: 0x228833, wind: 0x226688, path: 0x667788 },
  dark: { sky: 0x14181c, grid: 0x55606a, part: 0xb7a68c, head: 0xe0bd78, pack: 0x9aa4ad,
    rotor: 0x77aadd, limit: 0xee88bb, fabric: 0x66cc77, wind: 0x66ccee, path: 0x99aabb },
};
const UP = new Vector3(0, 0, -1);
const ARROW_M_PER_N = 0.02;
const WIND_ARROW_M_PER_M_S = 0.15;

// From an axis of symmetry along y (as geometries are made) to a direction of the craft.
function turned(along) {
  const axis = { forward: [1, 0, 0], right: [0, 1, 0], up: [0, 0, -1] }[along];
  return new Quaternion().setFromUnitVectors(new Vector3(0, 1, 0), new Vector3(...axis));
}

function geometryOf(part) {
  const { shape, length, radius, width, size } = part;
  const thin = 0.004;
  switch (shape) {
    case "rod": return new CylinderGeometry(radius || thin, radius || thin, length, 12);
    case "tube":
    case "cylinder": return new CylinderGeometry(radius, radius, length, 20);
    case "disc": return new CylinderGeometry(radius, radius, thin, 36, 1, true);
    case "box": return new BoxGeometry(size[0], size[1], size[2]);
    case "panel":
      if (part.along === "forward") return new BoxGeometry(thin, length, width);
      if (part.along === "right") return new BoxGeometry(length, thin, width);
      return new BoxGeometry(length, width, thin);
    case "sphere":
    case "spherical_shell": return new SphereGeometry(radius, 24, 16);
    case "hemispherical_shell":
      return new SphereGeometry(radius, 24, 12, 0, 2 * Math.PI, 0, Math.PI / 2);
    default: return new SphereGeometry(0.012, 10, 8);
  }
}

// A grid of metres in short pieces: software renderers drop long lines that end behind the camera.
function ground(colour) {
  const [reach, piece] = [30, 2];
  const places = [];
  for (let line = -reach; line <= reach; line += 1) {
    for (let start = -reach; start < reach; start += piece) {
      places.push(line, 0, start, line, 0, start + piece, start, 0, line, start + piece, 0, line);
    }
  }
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", new BufferAttribute(new Float32Array(places), 3));
  const material = new LineBasicMaterial({ color: colour, transparent: true, opacity: 0.45 });
  return new LineSegments(geometry, material);
}

export class CraftScene {
  constructor(canvas, craft, isDark) {
    this.craft = craft;
    this.colours = COLOURS[isDark ? "dark" : "light"];
    this.renderer = new WebGLRenderer({ canvas, antialias: true, preserveDrawingBuffer: true });
    this.scene = new Scene();
    this.scene.background = new Color(this.colours.sky);
    this.scene.add(new AmbientLight(0xffffff, 1.6));
    const sun = new DirectionalLight(0xffffff, 2.2);
    sun.position.set(3, 8, 5);
    this.scene.add(sun);
    this.scene.add(ground(this.colours.grid));
    this.earth = new Group();
    // north -> away (-z), east -> right (x), down -> -y
    this.earth.quaternion.setFromRotationMatrix(
      new Matrix4().makeBasis(new Vector3(0, 0, -1), new Vector3(1, 0, 0), new Vector3(0, -1, 0)),
    );
    this.scene.add(this.earth);
    this.camera = new PerspectiveCamera(42, 1, 0.05, 400);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.enableDamping = false;
    this.buildCraft();
    this.buildFabric();
    this.windArrow = new ArrowHelper(new Vector3(1, 0, 0), new Vector3(), 1, this.colours.wind);
    this.earth.add(this.windArrow);
    this.path = null;
    this.lastPlace = null;
  }

  material(colour, opacity = 1) {
    return new MeshLambertMaterial({
      color: colour, side: DoubleSide, transparent: opacity < 1, opacity, depthWrite: opacity === 1,
    });
  }

  buildCraft() {
    this.body = new Group();
    this.earth.add(this.body);
    this.headGroup = new Group();
    this.body.add(this.headGroup);
    for (const part of this.craft.parts) {
      const colour = this.colours[part.role] ?? this.colours.part;
      const mesh = new Mesh(geometryOf(part), this.material(colour));
      if (part.along && !["box", "panel"].includes(part.shape)) {
        mesh.quaternion.copy(turned(part.along));
      }
      mesh.position.set(...part.place);
      if (part.shape === "hemispherical_shell") {
        // its centre of mass stands half a radius from the rim, the geometry begins at the rim
        mesh.position.add(new Vector3(0, -part.radius / 2, 0).applyQuaternion(mesh.quaternion));
      }
      if (part.role === "head" && this.craft.neck) {
        mesh.position.sub(new Vector3(...this.craft.neck));
        this.headGroup.add(mesh);
      } else this.body.add(mesh);
    }
    if (this.craft.neck) this.headGroup.position.set(...this.craft.neck);
    this.rotors = this.craft.rotors.map((rotor) => {
      const group = new Group();
      group.position.set(...rotor.pivot);
      const disc = new Mesh(
        new CylinderGeometry(rotor.radius, rotor.radius, 0.004, 40),
        this.material(this.colours.rotor, 0.35),
      );
      disc.quaternion.copy(turned("up"));
      disc.position.set(0, 0, -rotor.hub);
      group.add(disc);
      const mast = new Mesh(
        new CylinderGeometry(0.008, 0.008, Math.max(rotor.hub, 0.01)), this.material(this.colours.pack),
      );
      mast.quaternion.copy(turned("up"));
      mast.position.set(0, 0, -rotor.hub / 2);
      group.add(mast);
      const arrow = new ArrowHelper(UP, new Vector3(0, 0, -rotor.hub), 0.3, this.colours.rotor);
      group.add(arrow);
      this.body.add(group);
      return { ...rotor, group, disc, arrow, axis: new Vector3(...rotor.tilt_axis) };
    });
  }

  // One surface a drape: a strip of cloth down from each rim point, joined to the next where it is a
  // sheet, drawn with its own width where it is not.
  buildFabric() {
    this.drapes = this.craft.drapes.map((drape) => {
      const down = drape.rows + 1;
      const lines = drape.sheet ? drape.strips : drape.strips * 2;
      const geometry = new BufferGeometry();
      geometry.setAttribute("position", new BufferAttribute(new Float32Array(lines * down * 3), 3));
      const index = [];
      const join = (a, b) => {
        for (let r = 0; r < drape.rows; r += 1) {
          const [p, q] = [a * down + r, b * down + r];
          index.push(p, q, p + 1, q, q + 1, p + 1);
        }
      };
      if (drape.sheet) {
        for (let s = 0; s + 1 < drape.strips; s += 1) join(s, s + 1);
        if (drape.closed) join(drape.strips - 1, 0);
      } else for (let s = 0; s < drape.strips; s += 1) join(2 * s, 2 * s + 1);
      geometry.setIndex(index);
      const mesh = new Mesh(geometry, this.material(this.colours.fabric, 0.55));
      mesh.frustumCulled = false;
      this.earth.add(mesh);
      return { ...drape, geometry, down };
    });
  }

  show(flight) {
    if (this.path) this.earth.remove(this.path);
    const { north, east, height } = flight.channel;
    const points = new Float32Array(north.length * 3);
    for (let i = 0; i < north.length; i += 1) points.set([north[i], east[i], -height[i]], 3 * i);
    const line = new BufferGeometry();
    line.setAttribute("position", new BufferAttribute(points, 3));
    this.path = new Line(line, new LineBasicMaterial({ color: this.colours.path }));
    this.path.frustumCulled = false;
    this.earth.add(this.path);
    this.lastPlace = null;
    this.place(flight, 0, true);
    this.aim();
  }

  // Looks at the craft from a little above, from the south-east.
  aim() {
    const centre = this.centre();
    const away = this.craft.extent * 2.6;
    this.camera.position.set(centre.x + 0.7 * away, centre.y + 0.35 * away, centre.z + away);
    this.controls.target.copy(centre);
    this.controls.update();
  }

  centre() {
    this.earth.updateMatrixWorld(true);
    return this.body.getWorldPosition(new Vector3());
  }

  place(flight, position, follows) {
    const at = (name) => between(flight.channel[name], position);
    this.body.position.set(at("north"), at("east"), -at("height"));
    this.body.quaternion.setFromEuler(new Euler(at("roll"), at("pitch"), at("heading"), "ZYX"));
    if (this.craft.neck && flight.channel.head_roll) {
      this.headGroup.quaternion.setFromEuler(new Euler(at("head_roll"), at("head_pitch"), 0, "XYZ"));
    }
    const flags = flight.channel.limits[Math.min(Math.round(position), flight.channel.limits.length - 1)];
    const limited = (flags & this.craft.thrust_limits) !== 0;
    this.rotors.forEach((rotor, i) => {
      if (rotor.tilts) rotor.group.quaternion.setFromAxisAngle(rotor.axis, at(`tilt_${i}`));
      rotor.arrow.setLength(Math.max(at(`thrust_${i}`) * ARROW_M_PER_N, 0.01), 0.06, 0.035);
      rotor.arrow.setColor(limited ? this.colours.limit : this.colours.rotor);
    });
    this.placeFabric(flight, position);
    const wind = new Vector3(at("wind_north"), at("wind_east"), -at("wind_up"));
    const speed = wind.length();
    this.windArrow.visible = speed > 0.05;
    if (speed > 0.05) {
      this.windArrow.setDirection(wind.clone().normalize());
      this.windArrow.setLength(Math.max(speed * WIND_ARROW_M_PER_M_S, 0.1), 0.12, 0.07);
      this.windArrow.position.copy(this.body.position).add(new Vector3(0, 0, -this.craft.extent));
    }
    const centre = this.centre();
    if (follows && this.lastPlace) {
      const moved = centre.clone().sub(this.lastPlace);
      this.camera.position.add(moved);
      this.controls.target.add(moved);
    }
    this.lastPlace = centre;
  }

  placeFabric(flight, position) {
    if (!flight.fabricPlaces) return;
    const places = flight.fabricPlaces;
    const sample = (position * flight.interval_s) / flight.fabric.interval_s;
    const at = (k, i) => between(places[3 * k + i], sample) + this.body.position.getComponent(i);
    for (const drape of this.drapes) {
      const to = drape.geometry.attributes.position;
      for (let s = 0; s < drape.strips; s += 1) {
        const rim = new Vector3(...drape.rim[s]).applyQuaternion(this.body.quaternion);
        rim.add(this.body.position);
        const half = new Vector3(...drape.tangent[s]).applyQuaternion(this.body.quaternion);
        half.multiplyScalar(drape.width / 2);
        for (let r = 0; r <= drape.rows; r += 1) {
          const k = drape.first + s * drape.rows + r - 1;
          const [x, y, z] = r === 0 ? [rim.x, rim.y, rim.z] : [at(k, 0), at(k, 1), at(k, 2)];
          if (drape.sheet) to.setXYZ(s * drape.down + r, x, y, z);
          else {
            to.setXYZ(2 * s * drape.down + r, x - half.x, y - half.y, z - half.z);
            to.setXYZ((2 * s + 1) * drape.down + r, x + half.x, y + half.y, z + half.z);
          }
        }
      }
      to.needsUpdate = true;
      drape.geometry.computeVertexNormals();
    }
  }

  draw() {
    const { clientWidth: wide, clientHeight: high } = this.renderer.domElement;
    const ratio = Math.min(window.devicePixelRatio || 1, 2);
    const { width, height } = this.renderer.domElement;
    if (width !== Math.floor(wide * ratio) || height !== Math.floor(high * ratio)) {
      this.renderer.setPixelRatio(ratio);
      this.renderer.setSize(wide, high, false);
      this.camera.aspect = wide / Math.max(high, 1);
      this.camera.updateProjectionMatrix();
    }
    this.render();
  }

  render() {
    this.renderer.render(this.scene, this.camera);
  }
}
