from __future__ import annotations

from typing import Any

from django import forms

from electrical.models import Bond, Circuit, Earthing
from electrical.models.earthing import EarthingWay
from fitout.jobs.models import Job
from fitout.kit.forms import NumberField, TrackedForm, WholeNumberField


class EarthingForm(TrackedForm):
    action = "wiring.change"

    joints = WholeNumberField(
        label="Places where the negative is earthed",
        min_value=0,
        max_value=50,
        required=False,
        help_text="Where it meets the engine, the hull or the body. Leave empty until counted.",
    )

    class Meta:
        model = Earthing
        fields = ["way", "joints"]
        labels = {"way": "How the d.c. system meets earth"}

    def __init__(self, earthing: Earthing, data: Any = None) -> None:
        super().__init__(data, instance=earthing)
        self.scope = earthing.job.scope
        way = self.fields["way"]
        assert isinstance(way, forms.ChoiceField)  # noqa: S101 - for the type checker
        way.choices = [("", "Not known"), *EarthingWay.choices]

    def entry_label(self, *, adding: bool) -> str:
        return "Earthing"


class BondForm(TrackedForm):
    action = "wiring.change"

    size_mm2 = NumberField(
        label="Size", min_value="0.5", max_value=240, decimal_places=2, unit="mm²", required=False
    )

    class Meta:
        model = Bond
        fields = ["name", "size_mm2", "colour", "circuit"]
        labels = {
            "name": "What is bonded",
            "colour": "Colour of the insulation",
            "circuit": "Circuit that supplies it",
        }
        help_texts = {"circuit": "Leave empty for a part without supply, such as a tank."}

    def __init__(self, job: Job, data: Any = None) -> None:
        super().__init__(data, instance=Bond(job=job), auto_id="bond_%s")
        self.scope = job.scope
        circuit = self.fields["circuit"]
        assert isinstance(circuit, forms.ModelChoiceField)  # noqa: S101 - for the type checker
        circuit.queryset = Circuit.objects.filter(job=job)
        circuit.empty_label = "None"

    def clean_name(self) -> str:
        name = str(self.cleaned_data["name"])
        if Bond.objects.filter(job=self.instance.job, name=name).exists():
            raise forms.ValidationError(f"{name} is bonded already; remove that one first.")
        return name

    def entry_label(self, *, adding: bool) -> str:
        return str(self.instance)
