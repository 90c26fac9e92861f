// Texte über den Weg zum Dienst, auf Deutsch.
import type { Texts } from '../shape';

export const reach: Texts['reach'] = {
  sendingAgain: 'wird noch einmal gesendet …',
  sendingAgainAbout: 'Noch keine Antwort: noch einmal gesendet. Ausgeführt wird es höchstens einmal.',
  notArrived: {
    title: 'Nicht angekommen',
    detail: 'Dieses Tablet hat kein Netz, der Tastendruck hat es nicht verlassen. Es wurde nichts ausgeführt.',
    remedy: 'Das Tablet wieder in das Netz des Dienstes bringen, dann noch einmal drücken.',
  },
  notKnown: {
    title: 'Nicht bekannt, ob es angekommen ist',
    detail: (limit_s) => `${limit_s} Sekunden lang immer wieder gesendet, keine Antwort. Ausgeführt wurde es einmal oder gar nicht, nie zweimal.`,
    remedy: 'Warten, bis oben das Wort aktiv steht: Dann zeigt die Seite den Stand. Nur noch einmal drücken, wenn es nicht ausgeführt wurde.',
  },
  noDaemon: {
    title: 'Keine Verbindung',
    detail: 'Der Dienst antwortet nicht. Es gibt keine Werte; nichts hier ist aktuell.',
    remedy: 'Nachsehen, ob hubplumb läuft und ob dieses Tablet in seinem Netz ist. Die Seite macht von selbst weiter.',
  },
  newer: 'Eine neuere Seite ist da: laden',
  title: 'Ein Tablet dazuholen',
  close: 'Zurück',
  scan: 'Die Kamera des Tablets hierauf richten oder die Adresse eintippen.',
  codeOf: (url) => `Code für die Adresse ${url}`,
  others: 'Eine andere Adresse, falls diese nicht aufgeht',
  noNetwork: 'Der Rechner, auf dem hubplumb läuft, hat noch keine Adresse in einem Netz. Sobald er in einem ist, steht sie hier.',
  named: {
    off: 'Nicht unter einem Namen bekannt gemacht.',
    asking: 'Es wird gefragt, ob der Name frei ist …',
    announced: 'Mit Namen, wenn das Tablet solche Namen kennt:',
    failed: 'Unter einem Namen bekannt zu machen ist nicht gelungen. Die Adresse aus Zahlen gilt trotzdem.',
  },
  local: {
    what: 'Nur der Rechner, auf dem hubplumb läuft, kann diese Seite öffnen.',
    remedy: 'Um ein Tablet hereinzulassen, hubplumb so starten:',
    meaning: 'Dann können alle im Netz die Seite öffnen; mit einem Code vom Terminal darf ein Tablet auch drücken.',
  },
  everybody: 'Alle in diesem Netz können die Seite öffnen; mit einem Code vom Terminal darf ein Tablet auch drücken.',
  certificateTitle: 'Zertifikat',
  certificate: (name) => `Der Browser warnt, weil niemand von außen für hubplumb bürgt. Auf dem Tablet ${name} als Zertifizierungsstelle annehmen, dann entfällt die Warnung.`,
  compare: 'Vorher vergleichen. Der Fingerabdruck (SHA-256) muss der sein, den hubplumb dort ausgibt, wo es läuft:',
  getCertificate: 'Zertifikat holen',
  devicesTitle: 'Gekoppelte Geräte',
  own: 'dieses',
  revoke: 'Entkoppeln',
  brokerTitle: (at) => `Per MQTT an ${at} gesendet`,
  broker: { calling: 'Der Broker wird gerufen.', up: 'Der Broker ist da.' },
  waiting: (findings) => `Wartende Ergebnisse: ${findings}.`,
  hereTitle: 'Was dieses Tablet hier kann',
  awake: {
    yes: 'Der Bildschirm bleibt während eines Messgangs an.',
    no: 'Der Bildschirm kann dunkel werden: Der Browser lässt ihn nur von Seiten über HTTPS wach halten. Am Tablet selbst eine längere Zeit einstellen.',
    unsupported: 'Dieser Browser kann den Bildschirm nicht wach halten. Am Tablet selbst eine längere Zeit einstellen.',
  },
  kept: {
    insecure: 'Die Seite lässt sich nicht installieren: Der Browser behält nur Seiten, die über HTTPS kamen. Dafür hubplumb mit --https starten.',
    unsupported: 'Dieser Browser behält keine Seiten oder verbietet es in einem privaten Fenster.',
    starting: 'Die Seite wird gerade behalten …',
    kept: 'Die Seite ist behalten: Sie geht auch ohne Verbindung auf und sagt das dann. Über das Menü des Browsers lässt sie sich auf den Startbildschirm legen.',
    failed: 'Die Seite ließ sich nicht behalten; oft wird dem Zertifikat noch nicht vertraut.',
  },
};
