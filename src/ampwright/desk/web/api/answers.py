"""What is answered of a job or a circuit that is sent, and not kept."""

from typing import Annotated, Any

from fastapi import APIRouter, Request
from pydantic import Field

from ampwright.desk.cases import circuit as circuits
from ampwright.desk.cases import jobs
from ampwright.desk.cases.answer import Answer, answer_job
from ampwright.desk.cases.balance import BalanceAnswer, balance_job
from ampwright.desk.cases.fit import FitAnswer, fit_job
from ampwright.desk.cases.identify import IdentifyAnswer, identify_job
from ampwright.desk.cases.kick import Kick, kick_in
from ampwright.desk.cases.listen import ListenAnswer, listen
from ampwright.desk.cases.pairs import PairsAnswer, pairs_answer
from ampwright.desk.cases.pairs_told import PairsAsked
from ampwright.desk.cases.prove import ProveAnswer, prove_job
from ampwright.desk.cases.suit import AskAnswer, SuitAnswer, ask_job, suit_job
from ampwright.desk.cases.trace import TraceAnswer, trace_job
from ampwright.desk.cases.triage import TriageAnswer, triage_job
from ampwright.desk.cases.wave import as_document as wave_document
from ampwright.desk.cases.wave import wave_in
from ampwright.desk.web.api.bodies import Body, StrictRoute
from ampwright.desk.web.api.replies import JsonReply, gives, told

router = APIRouter(route_class=StrictRoute, tags=["answers"])

#: A finding typed for short.
Typed = Annotated[str, Field(min_length=1, max_length=400)]
Document = dict[str, Any]
LONGEST_SENTENCE, MOST_TYPED, MOST_CIRCUITS = 1000, 200, 1000
Finds = Annotated[
    list[Typed],
    Field(
        default_factory=list,
        max_length=MOST_TYPED,
        description="Findings typed for short, such as `thick_wires=2@photo`, added to it.",
    ),
]


class JobBody(Body):
    """A job to answer: its document, findings typed for short, or both."""

    job: Annotated[
        Document, Field(default_factory=dict, title="Job document", description="As docs/job.md says; may be empty.")
    ]
    find: Finds


class SentenceBody(Body):
    """What a caller says."""

    sentence: Annotated[str, Field(min_length=1, max_length=LONGEST_SENTENCE, description="In the caller's words.")]


class CircuitBody(Body):
    """Circuits to solve."""

    circuit: Annotated[
        Document | Annotated[list[Any], Field(min_length=1, max_length=MOST_CIRCUITS)],
        Field(title="Circuit", description="One circuit as docs/circuit.md says, or a list of them."),
    ]
    band: Annotated[bool, Field(description="The band of a switching regulator too.")] = False
    within: Annotated[
        float, Field(ge=0, le=circuits.MOST_WITHIN, description="What an answer may be off by, of its current.")
    ] = circuits.WITHIN


class WaveBody(Body):
    """A circuit of which the wave is wanted."""

    circuit: Annotated[Document, Field(title="Circuit", description="One circuit as docs/circuit.md says.")]
    periods: Annotated[float, Field(description="How many electrical periods.")] = 3.0


class KickBody(Body):
    """A circuit with ignition and start."""

    circuit: Annotated[Document, Field(title="Circuit", description="One circuit as docs/circuit.md says.")]
    spark_mJ: Annotated[float, Field(gt=0, le=1e4, description="Energy that fires, as points open.")] | None = None
    least_V: Annotated[float, Field(gt=0, le=100, description="Volts an electronic ignition needs.")] | None = None


@router.post("/answer", responses=gives(Answer, "All stations of the job."))
def answer(request: Request, body: JobBody) -> JsonReply:
    """The whole answer of a job: what it is, what suits, whether it keeps up."""
    return told(answer_job(jobs.job_in(body.job, body.find), request.app.state.shelf()))


@router.post("/identify", responses=gives(IdentifyAnswer, "What is believed, and why."))
def identify(body: JobBody) -> JsonReply:
    """What the findings make of the bike, with the evidence for and against."""
    return told(identify_job(jobs.job_in(body.job, body.find)))


@router.post("/suit", responses=gives(SuitAnswer, "Every part with its verdict."))
def suit(request: Request, body: JobBody) -> JsonReply:
    """Every part in stock: fits, fits if, don't fit or can't say yet, with the reason."""
    return told(suit_job(jobs.job_in(body.job, body.find), request.app.state.shelf()))


@router.post("/ask", responses=gives(AskAnswer, "The next look."))
def ask(request: Request, body: JobBody) -> JsonReply:
    """The next look: what to ask for, how to do it safely, and the text to send."""
    return told(ask_job(jobs.job_in(body.job, body.find), request.app.state.shelf()))


@router.post("/balance", responses=gives(BalanceAnswer, "Balance speeds of all that is possible."))
def balance(body: JobBody) -> JsonReply:
    """Whether the generator keeps up with lights and ignition, and from what speed."""
    return told(balance_job(jobs.job_in(body.job, body.find)))


@router.post("/triage", responses=gives(TriageAnswer, "The five readings, and what they come to."))
def triage(body: JobBody) -> JsonReply:
    """Five readings at the battery: battery, box or wiring, generator, or nothing wrong."""
    return told(triage_job(jobs.job_in(body.job, body.find)))


@router.post("/trace", responses=gives(TraceAnswer, "What it could be, the next test, and the cure."))
def trace(body: JobBody) -> JsonReply:
    """Why it does not charge, or boils: belief in every fault by all that was read, seen and told."""
    return told(trace_job(jobs.job_in(body.job, body.find)))


@router.post("/prove", responses=gives(ProveAnswer, "The test sheet, with what was read judged by it."))
def prove(body: JobBody) -> JsonReply:
    """What each reading of a sound bike would be, in the order of least dismantling."""
    return told(prove_job(jobs.job_in(body.job, body.find)))


@router.post("/fit", responses=gives(FitAnswer, "The alternators it may be, by its readings."))
def fit(body: JobBody) -> JsonReply:
    """This bike's own alternator by its readings: EMF, ohms, henries, magnet, output, and how sure they are."""
    return told(fit_job(jobs.job_in(body.job, body.find)))


@router.post("/pairs", responses=gives(PairsAnswer, "Set-point, ohms, capacity and joints, each with its band."))
def pairs(body: PairsAsked) -> JsonReply:
    """What a few pairs of volts and amps say of a regulator, a battery and joints."""
    return told(pairs_answer(body))


@router.post("/hear", responses=gives(ListenAnswer, "Proposals, none of them taken over."))
def hear(body: SentenceBody) -> JsonReply:
    """Make proposals of a caller's own words."""
    return told(listen(body.sentence))


@router.post("/circuit", responses=gives(dict[str, Any] | list[dict[str, Any]], "An answer, or a list of them."))
def circuit(body: CircuitBody) -> JsonReply:
    """Solve bare circuits; a bad one gets its sentence in its place, and no neighbour of it is spoilt."""
    many = isinstance(body.circuit, list)
    wanted = body.circuit if isinstance(body.circuit, list) else [body.circuit]
    solved = [circuits.as_document(one) for one in circuits.solve_circuits(wanted, body.band, body.within)]
    return JsonReply(solved if many else solved[0])


@router.post("/wave", responses=gives(dict[str, Any], "Moments, and every trace by panel and name."))
def wave(body: WaveBody) -> JsonReply:
    """What an oscilloscope would show of a bare circuit."""
    found, title, cautions = wave_in(body.circuit, body.periods)
    return JsonReply({"title": title, "cautions": list(cautions)} | wave_document(found))


@router.post("/kick", responses=gives(Kick, "Every spark against what it needs."))
def kick(body: KickBody) -> JsonReply:
    """One kick without a battery, and the smallest capacitor that starts it."""
    return told(kick_in(body.circuit, body.spark_mJ, body.least_V))
