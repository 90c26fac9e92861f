// Texts about guided checks, in German.
import type { Cautions, Texts } from '../shape';

const MAKER: readonly [string, string] = ['Hersteller geht vor', 'Wo die Herstellerangaben anderes sagen, haben sie recht und diese Seite nicht.'];
const RAISED: Cautions = [
  ['Auf den Bock', 'Am Punkt des Herstellers anheben, auf hartem, ebenem Grund, die anderen Räder verkeilt; ein Unterstellbock ausreichender Tragkraft unter dem Fahrzeug, bevor jemand an einem Rad rüttelt. Ein Wagenheber hebt, er hält nicht.'],
  ['Nie unter den Heber', 'Kein Körperteil unter ein Fahrzeug, das nur auf dem Wagenheber steht.'],
];
const PLATES: Cautions = [
  ['Teller frei', 'Beide Vorderräder auf Drehtellern oder gefetteten Blechen, Stifte gezogen, nichts am Anschlag.'],
  ['Fahrzeug gehalten', 'Feststellbremse angezogen, Unterlegkeile an den Hinterrädern; niemand vor oder hinter dem Fahrzeug.'],
];
const HANDS: readonly [string, string] = ['Hände weg', 'Keine Hand zwischen Rad und Radkasten, während jemand lenkt.'];

export const check: Texts['check'] = {
  title: 'Prüfungen',
  line: 'Spiel, Anschläge, Spurdifferenzwinkel, Sturz, Fahrhöhe',
  which: 'Welche Prüfung',
  wheel: 'Welches Rad',
  grip: 'Wo die Hände sind',
  turn: 'Wie die Latte zwischen zwei Aufnahmen gewendet wird',
  by: 'Woher die Winkel kommen',
  before: 'Vor dem Beginn',
  start: 'Diese Prüfung beginnen',
  ofSwing: 'Aus dem letzten Lenkschwenk ausrechnen',
  finish: 'Mit dem Vorhandenen abschließen',
  cancel: 'Abbrechen',
  taken: (taken, wanted) => (wanted === null ? `${taken} erfasst` : `${taken} von ${wanted} erfasst`),
  held: (held, needed) => `${held} von ${needed} s`,
  left: (time) => `${time} s`,
  take: 'Diese Zahl übernehmen',
  step: 'Einen Schritt weiter',
  steer: 'Lenkwinkel',
  mostly: (cause, share) => `Größter Anteil am ±: ${cause}, ${share}.`,
  results: 'Was sie ergeben hat',
  rideHeight: 'Fahrhöhe, für die es gelten soll',
  rideHeightEmpty: 'die erste',
  noBoard: 'Braucht dort eine aktive Platine.',
  axle: 'Welche Achse',
  toLeft: 'Pfeil nach links',
  kinds: {
    play: ['Spiel', 'Ein Rad wird von Hand gerüttelt; seine Platine spürt, wie weit es nachgibt.'],
    centring: ['Von Anschlag zu Anschlag', 'Bis zu beiden Anschlägen lenken und zurück: steht die Lenkung mittig?'],
    toe_out_on_turns: ['Spurdifferenzwinkel', 'Wie viel weniger als das kurveninnere Rad das kurvenäußere einschlägt.'],
    camber_on_hub: ['Sturz mit der Platine an der Nabe', 'Ein ruhiger Halt, oder mehrere, dazwischen das Fahrzeug eingefedert.'],
    camber_on_bar: ['Sturz mit der Latte', 'Eine Platine auf einer geraden Latte über der Felge, umgeschlagen (um 180° gedreht): der Fehler der Latte fällt heraus.'],
    carried_toe: ['Getragene Spur', 'Die Platine der Karosserie, in einem Klotz mit parallelen Flächen, wird von Felge zu Felge und zurück getragen.'],
    height_sweep: ['Fahrhöhe', 'Sturz und Spur bei mehreren Fahrhöhen: wie sie der Karosserie folgen.'],
  },
  phase: {
    idle: 'Läuft nicht',
    await_still: 'Ruhen lassen',
    hold: 'Stillhalten',
    taken: 'Erfasst – weiter',
    moving: 'In Bewegung',
    rock: 'Rütteln',
    await_figure: 'Zahl eintippen',
    done: 'Fertig',
    refused: 'Abgelehnt',
  },
  axles: { front: 'vorn', rear: 'hinten' },
  grips: { top_bottom: 'oben und unten', front_rear: 'vorn und hinten' },
  sources: { gyro: 'Gyroskop', plates: 'Drehteller, eingetippt', steering_wheel: 'Lenkrad, eingetippt' },
  turns: { other_face: 'andere Seite zur Felge', other_end: 'anderes Ende nach oben', both: 'beides', any: 'beliebig' },
  positions: { straight: 'geradeaus', left: 'nach links gelenkt', right: 'nach rechts gelenkt' },
  field: {
    front_left: ['Drehteller vorn links, + links', '°'],
    front_right: ['Drehteller vorn rechts, + links', '°'],
    steering_wheel: ['Lenkrad, + links', '°'],
    height: ['Fahrhöhe jetzt', 'mm'],
    toe: ['Spur bei dieser Höhe, + Vorspur, falls gemessen', '°'],
  },
  cautions: {
    play: [...RAISED, ['Verschlissene Teile', 'Spiel in Gelenken oder Lagern ist auf der Straße gefährlich: beheben lassen, wo es vorgeschrieben ist von einer zugelassenen Werkstatt, bevor ein Winkel eingestellt wird.'], MAKER],
    centring: [...PLATES, ['Sanft an den Anschlag', 'Die Lenkung nicht gegen den Anschlag zwingen; mit Servolenkung nicht dort festhalten.'], HANDS, MAKER],
    toe_out_on_turns: [...PLATES, HANDS, MAKER],
    camber_on_hub: [['Fahrzeug gesetzt', 'Auf seinen Rädern, eingefedert, in Ruhe; niemand darin und niemand daran gelehnt.'], ['Heiße Bremsen', 'Naben und Bremsscheiben sind nach einer Fahrt heiß.'], MAKER],
    camber_on_bar: [['Latte gehalten', 'Die Latte mit beiden Händen halten; sie darf nicht auf Füße oder Lack fallen.'], ['Fahrzeug gesetzt', 'Auf seinen Rädern, eingefedert, in Ruhe.'], MAKER],
    carried_toe: [['Fahrzeug gehalten', 'Auf seinen Rädern, Feststellbremse an, verkeilt; Lenkung geradeaus und festgestellt.'], ['Weg frei', 'Um das Auto herum, nie darunter.'], MAKER],
    height_sweep: [...RAISED, ['Nichts darunter', 'Hände und Füße nicht unter die Karosserie, während ihre Höhe verändert wird.'], ['Federn', 'Eine gespannte Feder kann töten. Wo Federn ausgebaut werden müssen, ist das Arbeit für jemanden mit Ausbildung dafür.'], MAKER],
  },
};
