"""Writes the binary format that the recogniser's decoder loads (`am/final.mdl`), and reads it back.

Only what our network needs: the transition model of a one-state "chain" topology, and nnet3
components for affine maps, rectifiers, batch norms, sums, and sequences of these.
"""

import io
import struct

import numpy as np

from network import SKIP_SCALE, Layers, context, layers_of, remembers, without_memory
from phone_set import PHONE_INDEX, PHONES

POSITIONS = [("_B", "begin"), ("_E", "end"), ("_I", "internal"), ("_S", "singleton")]


def phone_table() -> list[tuple[str, str, int]]:
    """(name, word position, base phone) of every phone of the graph; its id is the index plus one."""
    table = [("SIL", "nonword", 0), ("SPN", "singleton", 1)]
    for phone in PHONES:
        table += [(phone + mark, position, PHONE_INDEX[phone]) for mark, position in POSITIONS]
    return table


class Writer:
    def __init__(self, bits: int = 16) -> None:
        self.out, self.bits = io.BytesIO(), bits

    def token(self, text: str) -> None:
        self.out.write(text.encode() + b" ")

    def int(self, value: int) -> None:
        self.out.write(b"\x04" + struct.pack("<i", int(value)))

    def float(self, value: float) -> None:
        self.out.write(b"\x04" + struct.pack("<f", float(value)))

    def bool(self, value: bool) -> None:
        self.out.write(b"T" if value else b"F")

    def ints(self, values) -> None:
        values = np.asarray(list(values), "<i4")
        self.out.write(b"\x04" + struct.pack("<i", len(values)) + values.tobytes())

    def vector(self, values) -> None:
        values = np.ascontiguousarray(values, "<f4")
        self.token("FV")
        self.int(len(values))
        self.out.write(values.tobytes())

    def matrix(self, values) -> None:
        """A compressed matrix, 16 or 8 bits a value."""
        values = np.ascontiguousarray(values, "f4")
        low = float(values.min())
        spread = float(values.max() - low) or 1e-5
        if self.bits == 16:
            self.token("CM2")  # minimum, range, rows, columns, and 0…65535 in between
            steps = np.clip(np.round((values - low) / spread * 65535), 0, 65535).astype("<u2")
            self.out.write(struct.pack("<ffii", low, spread, *values.shape) + steps.tobytes())
            return
        self.token("CM")  # the same head, then quartiles of each column in 16 bits, then columns in 8 bits
        marks, steps = eight_bit_columns(values, low, spread)
        self.out.write(struct.pack("<ffii", low, spread, *values.shape) + marks.tobytes() + steps.tobytes())


def eight_bit_columns(values: np.ndarray, low: float, spread: float) -> tuple[np.ndarray, np.ndarray]:
    """Per column: smallest value, quartiles and largest value as 16 bits, and each value as 8 bits between them.

    0…64 runs from the smallest value to the first quartile, 64…192 to the third, 192…255 to the largest.
    """
    quartiles = np.quantile(values, [0, 0.25, 0.75, 1], axis=0)
    marks = np.clip(np.round((quartiles - low) / spread * 65535), 0, 65535)
    for k in range(1, 4):  # each mark above the one before
        marks[k] = np.maximum(marks[k], marks[k - 1] + 1)
    marks = np.minimum(marks, [[65532], [65533], [65534], [65535]]).astype("<u2")
    at = low + spread / 65535 * marks.astype("f8")
    first = np.round((values - at[0]) / (at[1] - at[0]) * 64)
    middle = 64 + np.round((values - at[1]) / (at[2] - at[1]) * 128)
    last = 192 + np.round((values - at[2]) / (at[3] - at[2]) * 63)
    steps = np.where(values < at[1], first.clip(0, 64), np.where(values < at[2], middle.clip(64, 192), last.clip(192, 255)))
    return np.ascontiguousarray(marks.T), np.ascontiguousarray(steps.T.astype("u1"))


def from_eight_bits(marks: np.ndarray, steps: np.ndarray, low: float, spread: float) -> np.ndarray:
    """What the decoder makes of `eight_bit_columns`."""
    at = low + spread / 65535 * marks.T.astype("f8")
    v = steps.T.astype("f8")
    first, middle = at[0] + (at[1] - at[0]) * v / 64, at[1] + (at[2] - at[1]) * (v - 64) / 128
    return np.where(v <= 64, first, np.where(v <= 192, middle, at[2] + (at[3] - at[2]) * (v - 192) / 63))


def write_transition_model(w: Writer) -> None:
    table = phone_table()
    count = len(table)
    w.token("<TransitionModel>")
    w.token("<Topology>")
    w.ints(range(1, count + 1))
    w.ints([-1] + [0] * count)
    w.int(-1)  # not a plain HMM: a state has two output classes
    w.int(1)
    w.int(2)
    w.int(0), w.int(1)  # state 0: class 0 when entered, class 1 on the self-loop
    w.int(2)
    w.int(0), w.float(0.5)
    w.int(1), w.float(0.5)
    w.int(-1), w.int(-1), w.int(0)  # the final state
    w.token("</Topology>")
    w.token("<Tuples>")
    w.int(count)
    for index, (_, _, base) in enumerate(table):
        for value in (index + 1, 0, 2 * base, 2 * base + 1):
            w.int(value)
    w.token("</Tuples>")
    w.token("<LogProbs>")
    w.vector(np.concatenate([[0.0], np.full(2 * count, np.log(0.5))]))
    w.token("</LogProbs>")
    w.token("</TransitionModel>")


class ComponentList:
    """Collects components and the configuration lines that wire them together."""

    def __init__(self) -> None:
        self.config = ["", "input-node name=input dim=40"]
        self.components: list[tuple] = []

    def add(self, kind: str, name: str, source: str, *values) -> str:
        self.components.append((kind, name, *values))
        self.config.append(f"component-node name={name} component={name} input={source}")
        return name


def write_component(w: Writer, kind: str, values: tuple) -> None:
    if kind == "affine":
        weight, bias = values
        w.token("<FixedAffineComponent>")
        w.token("<LinearParams>"), w.matrix(weight)
        w.token("<BiasParams>"), w.vector(bias)
        w.token("</FixedAffineComponent>")
    elif kind == "sequence":
        w.token("<CompositeComponent>")
        w.token("<LearningRate>"), w.float(0)
        w.token("<MaxRowsProcess>"), w.int(2048)
        w.token("<NumComponents>"), w.int(len(values))
        for part, *inner in values:
            write_component(w, part, tuple(inner))
        w.token("</CompositeComponent>")
    elif kind == "rectifier":
        w.token("<RectifiedLinearComponent>")
        w.token("<Dim>"), w.int(values[0])
        for name in ("<ValueAvg>", "<DerivAvg>"):
            w.token(name), w.vector([])
        w.token("<Count>"), w.float(0)
        w.token("<OderivRms>"), w.vector([])
        for name in ("<OderivCount>", "<NumDimsSelfRepaired>", "<NumDimsProcessed>"):
            w.token(name), w.float(0)
        w.token("</RectifiedLinearComponent>")
    elif kind == "norm":
        mean, variance = values
        w.token("<BatchNormComponent>")
        w.token("<Dim>"), w.int(len(mean))
        w.token("<BlockDim>"), w.int(len(mean))
        w.token("<Epsilon>"), w.float(1e-3)
        w.token("<TargetRms>"), w.float(1)
        w.token("<TestMode>"), w.bool(True)
        w.token("<Count>"), w.float(1e5)
        w.token("<StatsMean>"), w.vector(mean)
        w.token("<StatsVar>"), w.vector(variance)
        w.token("</BatchNormComponent>")
    else:
        w.token("<NoOpComponent>")
        w.token("<Dim>"), w.int(values[0])
        w.token("<BackpropScale>"), w.float(1)
        w.token("</NoOpComponent>")


def taps(layers: Layers, index: int, node: str) -> str:
    """What the linear half of a layer takes in, as the decoder's descriptor.

    A layer that remembers takes, where the sound is younger than its memory, the first frame it is given (as
    `AcousticNetwork`). Were that said by repeating the first frame of the sound instead, the decoder would take the
    memory for context and plan three times the frames before it is ready.
    """
    linear = layers[index][0]
    if len(linear) == 1:
        return node
    before = f"Offset({node}, {linear[0]})"
    if remembers(linear):
        first = context(without_memory(layers[:index]))[0] - context(without_memory(layers))[0]
        before = f"Failover({before}, IfDefined(ReplaceIndex({node}, t, {first})))"
    return f"Append({before}, {node})"


def model_bytes(state: dict[str, np.ndarray], bits: int = 16) -> bytes:
    """The whole `final.mdl` for a state dictionary of `AcousticNetwork` (second head left out).

    What is computed frame by frame is one component: most of the decoder's time until it is ready grows with the
    number of components.
    """
    nodes, layers, width = ComponentList(), layers_of(state), len(state["tdnn1.bias"])

    def affine(key: str) -> tuple:
        weight = state[f"{key}.weight"]
        return "affine", weight, state.get(f"{key}.bias", np.zeros(len(weight)))

    def norm(key: str) -> tuple:
        return "norm", state[f"{key}.running_mean"], state[f"{key}.running_var"]

    spliced = "Append(Offset(input, -1), input, Offset(input, 1))"
    node = nodes.add("sequence", "tdnn1", spliced, affine("tdnn1"), ("rectifier", width), norm("bn1"))
    for index, (_, offsets) in enumerate(layers):
        name, key = f"tdnnf{index + 2}", f"f.{index}"
        source, parts = taps(layers, index, node), [affine(f"{key}.lin")]
        if len(offsets) > 1:
            inner = nodes.add("sequence", f"{name}.linear", source, *parts)
            source, parts = f"Append({inner}, Offset({inner}, {offsets[1]}))", []
        parts += [affine(f"{key}.aff"), ("rectifier", width), norm(f"{key}.bn")]
        inner = nodes.add("sequence", f"{name}.affine", source, *parts)
        node = nodes.add("sum", name, f"Sum(Scale({SKIP_SCALE}, {node}), {inner})", width)
    parts = [affine("pl"), affine("pa"), ("rectifier", width), norm("bn2"), affine("p2"), norm("bn3"), affine("out")]
    nodes.add("sequence", "output.affine", node, *parts)
    nodes.config += ["output-node name=output input=output.affine objective=linear", "", ""]

    w = Writer(bits)
    w.out.write(b"\0B")
    write_transition_model(w)
    w.token("<Nnet3>")
    w.out.write("\n".join(nodes.config).encode())
    w.token("<NumComponents>"), w.int(len(nodes.components))
    for kind, name, *values in nodes.components:
        w.token("<ComponentName>"), w.token(name)
        write_component(w, kind, tuple(values))
    w.token("</Nnet3>")
    left, right = context(without_memory(layers))
    w.token("<LeftContext>"), w.int(left)
    w.token("<RightContext>"), w.int(right)
    w.token("<Priors>"), w.vector([])
    return w.out.getvalue()
