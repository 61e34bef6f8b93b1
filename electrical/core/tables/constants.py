"""Constants of the checks, each with its source."""

from electrical.core.status import Clause, SourceStatus

#: Annealed copper at 20 °C [Ω·mm²/m]: 1/58.
RHO_CU_20_OHM_MM2_PER_M = 0.017241
RHO_CLAUSE = Clause(
    source="NBS Handbook 100", clause="annealed copper standard", status=SourceStatus.SECOND_HAND
)

#: Temperature coefficient of copper at 20 °C [1/K].
ALPHA_CU_20_PER_K = 0.00393
ALPHA_CLAUSE = Clause(
    source="NBS Handbook 100", clause="annealed copper standard", status=SourceStatus.MEMORY
)

#: E = 0.0164 I L / S, L the way there and back. 4.9 % below annealed copper at 20 °C.
ISO_DROP_OHM_MM2_PER_M = 0.0164
ISO_DROP_CLAUSE = Clause(
    source="ISO 10133:2012", clause="Annex A, drop formula", status=SourceStatus.MEMORY
)

#: CM = K I L / E, L the way there and back in feet [Ω·cmil/ft].
US_DROP_K_OHM_CMIL_PER_FT = 10.75
US_DROP_CLAUSE = Clause(source="ABYC E-11", clause="11.14.2.6", status=SourceStatus.SECOND_HAND)

#: Drop limits [%] of nominal voltage.
CRITICAL_DROP_PCT = 3.0
GENERAL_DROP_PCT = 10.0
US_DROP_LIMIT_CLAUSE = Clause(
    source="ABYC E-11", clause="11.14.2.6", status=SourceStatus.SECOND_HAND
)
ISO_DROP_LIMIT_CLAUSE = Clause(
    source="ISO 10133:2012", clause="4.7, 4.8 and Annex A", status=SourceStatus.SECOND_HAND
)

#: Adiabatic heating of copper: 226 · √(ln(1 + (θ_f - θ_i) / (234.5 + θ_i))) [A·s^0.5/mm²].
#: The formula is from memory; it gives the printed values of the table for 70 and 90 °C,
#: which are second-hand (BS 7671, Table 43.1, in a pocket guide).
K_COPPER = 226.0
BETA_COPPER_C = 234.5
#: What the insulation stands for seconds [°C]: thermoplastic (PVC), thermosetting (XLPE).
FINAL_PVC_C = 160.0
FINAL_XLPE_C = 250.0
ADIABATIC_CLAUSE = Clause(
    source="IEC 60364-4-43", clause="434.5.2, Table 43A", status=SourceStatus.MEMORY
)

FOOT_M = 0.3048
INCH_M = 0.0254

#: Voltage while charging over nominal voltage [-]: 13.8 V at 12 V. Common practice, no source.
CHARGING_OVER_NOMINAL = 1.15
