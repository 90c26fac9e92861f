// Everything that another tablet needs to get in, and what this one is allowed to do.
import type { CertificateView, ReachAddress, ReachView } from '../contract/types';
import { codePath, codeSide } from '../picture/code';
import { daemon } from '../state';
import { keptPage } from '../state/kept-page';
import { chosenWay, devices, listenOption, openReach, reach, reachProblem, revoke } from '../state/reach';
import { texts } from '../texts';

function Code({ address }: { address: ReachAddress }) {
  const side = codeSide(address.code);
  return (
    <svg class="reach-code" viewBox={`0 0 ${side} ${side}`} role="img" aria-label={texts.reach.codeOf(address.url)} shape-rendering="crispEdges" data-testid="reach-code">
      <rect width={side} height={side} fill="#fff" />
      <path d={codePath(address.code)} fill="#000" />
    </svg>
  );
}

function Named({ name }: { name: ReachView['name'] }) {
  return (
    <p data-testid="reach-name" data-state={name.state}>
      {texts.reach.named[name.state]} {name.state === 'announced' && <b class="reach-url">{name.url}</b>}
    </p>
  );
}

function Network({ ways }: { ways: ReachView }) {
  const shown = ways.addresses[chosenWay.value] ?? ways.addresses[0];
  if (shown === undefined) return <p>{texts.reach.noNetwork}</p>;
  return (
    <div class="reach-network">
      {shown.code.length > 0 && <Code address={shown} />}
      <div>
        <p>{texts.reach.scan}</p>
        <p class="reach-url reach-url-large" data-testid="reach-url">
          {shown.url}
        </p>
        <Named name={ways.name} />
        {ways.addresses.length > 1 && (
          <details>
            <summary>{texts.reach.others}</summary>
            {ways.addresses.map((address, nth) => (
              <button type="button" class="quiet reach-url" key={address.url} aria-pressed={address === shown} onClick={() => (chosenWay.value = nth)}>
                {address.url}
              </button>
            ))}
          </details>
        )}
        <p class="hint">{texts.reach.everybody}</p>
      </div>
    </div>
  );
}

function ThisMachine({ port }: { port: string }) {
  return (
    <div data-testid="reach-local">
      <p>{texts.reach.local.what}</p>
      <p>
        {texts.reach.local.remedy} <code>{listenOption(port)}</code>
      </p>
      <p class="hint">{texts.reach.local.meaning}</p>
    </div>
  );
}

function Certificate({ certificate }: { certificate: CertificateView }) {
  return (
    <section data-testid="reach-certificate">
      <h3>{texts.reach.certificateTitle}</h3>
      <p>{texts.reach.certificate(certificate.name)}</p>
      <p>{texts.reach.compare}</p>
      <p class="reach-print">{certificate.fingerprint_sha256}</p>
      <a class="reach-get" href={certificate.path} download="hubplumb.crt">
        {texts.reach.getCertificate}
      </a>
    </section>
  );
}

/** What the browser allows depends on how the page came (W3C Secure Contexts). */
function Here() {
  const awake = 'wakeLock' in navigator ? 'yes' : isSecureContext ? 'unsupported' : 'no';
  return (
    <section>
      <h3>{texts.reach.hereTitle}</h3>
      <p data-testid="reach-awake" data-state={awake}>
        {texts.reach.awake[awake]}
      </p>
      <p data-testid="reach-kept" data-state={keptPage.value}>
        {texts.reach.kept[keptPage.value]}
      </p>
    </section>
  );
}

function Devices() {
  return (
    <section>
      <h3>{texts.reach.devicesTitle}</h3>
      {devices.value.map(({ id, name, paired_on, own }) => (
        <p class="reach-device" key={id}>
          <span>
            {name}, {paired_on} {own && `(${texts.reach.own})`}
          </span>
          <button type="button" class="quiet" onClick={() => void revoke(id)} data-testid={`revoke-${id}`}>
            {texts.reach.revoke}
          </button>
        </p>
      ))}
    </section>
  );
}

function Publishing() {
  const now = daemon.value?.publishing;
  if (!now || now.state === 'off') return null;
  const { state, trouble, waiting } = now;
  return (
    <section>
      <h3>{texts.reach.brokerTitle(String(now.broker))}</h3>
      <p data-testid="publishing" data-state={state}>
        {trouble ? `${trouble.what} ${trouble.meaning} ${trouble.remedy}` : texts.reach.broker[state === 'up' ? 'up' : 'calling']} {waiting > 0 && texts.reach.waiting(waiting)}
      </p>
    </section>
  );
}

export function ReachPanel() {
  const ways = reach.value;
  const problem = reachProblem.value;
  return (
    <section class="reach" data-testid="reach">
      <header>
        <h2>{texts.reach.title}</h2>
        <button type="button" class="quiet" onClick={() => openReach(false)} data-testid="reach-close">
          {texts.reach.close}
        </button>
      </header>
      {problem && (
        <p role="alert">
          <b>{problem.title}.</b> {problem.detail} {problem.remedy}
        </p>
      )}
      {ways?.scope === 'this_machine' && <ThisMachine port={location.port || (ways.https ? '443' : '80')} />}
      {ways?.scope === 'network' && <Network ways={ways} />}
      {ways?.certificate && <Certificate certificate={ways.certificate} />}
      {devices.value.length > 0 && <Devices />}
      <Publishing />
      <Here />
    </section>
  );
}
