using Microsoft.OpenApi;

namespace HeatSpread.Service.OpenApi;

/// <summary>The description of the API, OpenAPI 3.1, at <c>/openapi/v1.json</c>.</summary>
internal static class ApiDescription
{
    public static void AddApiDescription(this IServiceCollection services)
    {
        services.AddEndpointsApiExplorer();
        services.AddSwaggerGen(swagger =>
        {
            swagger.SwaggerDoc("v1", new OpenApiInfo
            {
                Title = "HeatSpread",
                Version = "1",
                Description = "Steady heat spreading in printed circuit boards: post a layout and conditions, read temperatures, maps and a heat balance. "
                    + "A quantity carries its unit in its key; plan coordinates are in the layout's unit.",
                License = new OpenApiLicense { Name = "MIT", Identifier = "MIT" },
            });
            swagger.IncludeXmlComments(typeof(ApiDescription).Assembly);
            swagger.SupportNonNullableReferenceTypes();
            swagger.NonNullableReferenceTypesAsRequired();
            swagger.AddServer(new OpenApiServer { Url = "/", Description = "Wherever the service stands." });
            swagger.DocumentFilter<HandWrittenSchemas>();
            swagger.DocumentFilter<QuantityRanges>();
            swagger.DocumentFilter<ProblemTypes>();
            swagger.DocumentFilter<TagDescriptions>();
            swagger.OperationFilter<HandWrittenBodies>();
            swagger.OperationFilter<AnswerExamples>();
            swagger.AddSecurityDefinition(KeyRequirement.Bearer, new OpenApiSecurityScheme { Type = SecuritySchemeType.Http, Scheme = "bearer", Description = "An API key, where the service requires keys." });
            swagger.AddSecurityDefinition(KeyRequirement.Basic, new OpenApiSecurityScheme { Type = SecuritySchemeType.Http, Scheme = "basic", Description = "The same key as the password of any user name, for browsers." });
            swagger.OperationFilter<KeyRequirement>();
        });
    }

    public static void MapApiDescription(this WebApplication app) =>
        app.UseSwagger(o =>
        {
            o.RouteTemplate = "openapi/{documentName}.json";
            o.OpenApiVersion = OpenApiSpecVersion.OpenApi3_1;
        });
}
